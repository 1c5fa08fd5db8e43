import { inputError } from '../geometry/archgap-error.ts';
import { type JobControl, UNATTENDED } from '../geometry/job-control.ts';
import type { TriangleMesh } from '../geometry/types.ts';
import type { Scan } from '../scan/types.ts';
import { jawOf } from '../teeth/notation.ts';
import type { ToothMap, ToothNumber } from '../teeth/types.ts';
import { fitRestoration } from './fit-restoration.ts';
import type { FitScan, FitSide, FitTarget } from './fit-types.ts';
import type { Analysis } from './types.ts';

/** A restoration held against a measured scan. */
export interface ScanFit {
  readonly sides: readonly FitSide[];
  /** The restoration in the frame of the scan, and what it was held against: for the pictures. */
  readonly placed: TriangleMesh;
  readonly against: FitScan;
  readonly warnings: readonly { readonly code: string; readonly sentence: string }[];
}

/**
 * Holds the file of a restoration against its neighbours on a measured scan; both files in one frame.
 *
 * @param labels - of the scan, as measured
 * @throws ArchgapError `TOOTH_WRONG_JAW`, and as {@link fitRestoration}
 */
export async function fitOnScan(
  restoration: Scan,
  tooth: ToothNumber,
  scan: Scan,
  labels: ToothMap,
  analysis: Analysis,
  target: FitTarget,
  control: JobControl = UNATTENDED,
): Promise<ScanFit> {
  const { jaw, frame, settings } = analysis;
  if (jawOf(tooth) !== jaw) {
    throw inputError(
      'TOOTH_WRONG_JAW',
      `Tooth ${tooth} belongs to the ${jawOf(tooth)} jaw, the scan shows the ${jaw} jaw.`,
    );
  }
  const against: FitScan = {
    mesh: scan,
    labels,
    jaw,
    frame,
    missing: analysis.missing,
    centres: new Map(analysis.teeth.map((record) => [record.tooth, record.centre])),
    ...(settings.scanner === undefined ? {} : { scanner: settings.scanner }),
  };
  const shift = restoration.originMm.map((value, k) => value - scan.originMm[k]!);
  const placed = {
    positions: restoration.positions.map((value, i) => value + shift[i % 3]!),
    triangles: restoration.triangles,
  };
  const sides = await fitRestoration(placed, tooth, against, target, control);
  return { sides, placed, against, warnings: [...openWarning(restoration), ...analysis.warnings] };
}

function openWarning({ health }: Scan): { code: string; sentence: string }[] {
  if (health.openEdges === 0) return [];
  return [
    {
      code: 'RESTORATION_NOT_CLOSED',
      sentence: `The restoration has ${health.openEdges} open edges; its walls are measured as they are, and a wall that is missing is not seen.`,
    },
  ];
}
