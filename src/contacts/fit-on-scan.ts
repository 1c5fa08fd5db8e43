import { inputError } from '../geometry/archgap-error.ts';
import { type JobControl, subJob, UNATTENDED } from '../geometry/job-control.ts';
import { placeInFrame } from '../scan/place-in-frame.ts';
import { type ScanWarning, scanWarnings } from '../scan/scan-warnings.ts';
import type { Scan } from '../scan/types.ts';
import { jawOf } from '../teeth/notation.ts';
import type { ToothMap, ToothNumber } from '../teeth/types.ts';
import { fitRestoration } from './fit-restoration.ts';
import type { FitScan, FitSide, FitTarget } from './fit-types.ts';
import { type FitView, fitView } from './fit-view.ts';
import type { Analysis } from './types.ts';

/** Warning of a scan whose teeth show no occlusal plane. */
const APPROXIMATE_PLANE = 'OCCLUSAL_APPROXIMATE';

/** Share of the job after which the pictures are drawn. */
const DRAWING_FROM = 0.85;

/** A restoration held against a measured scan. */
export interface ScanFit {
  readonly sides: readonly FitSide[];
  /** The pictures of each side; null where nothing stands there. */
  readonly views: readonly (FitView | null)[];
  /** Of the checks of both files, then of the measurement. */
  readonly warnings: readonly ScanWarning[];
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
      { details: { tooth } },
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
  const placed = placeInFrame(restoration, scan);
  const found = await fitRestoration(placed, tooth, against, target, subJob(control, 0, DRAWING_FROM));
  // Few teeth show no occlusal plane: heights would change with the teeth that were clicked.
  const isApproximate = analysis.warnings.some(({ code }) => code === APPROXIMATE_PLANE);
  const sides = isApproximate ? found.map((side) => ({ ...side, heightMm: null })) : found;
  await control.checkpoint(DRAWING_FROM, 'drawing both sides');
  const views = sides.map((side) => fitView(placed, tooth, against, side));
  await control.checkpoint(1, 'drawing both sides');
  const warnings = [
    ...[restoration, scan].flatMap((file) => scanWarnings(file.health, `"${file.source.fileName}"`)),
    ...openWarning(restoration),
    ...analysis.warnings,
  ];
  return { sides, views, warnings };
}

function openWarning({ health }: Scan): ScanWarning[] {
  if (health.openEdges === 0) return [];
  return [
    {
      code: 'RESTORATION_NOT_CLOSED',
      sentence: `The restoration has ${health.openEdges} open edges; its walls are measured as they are, and a wall that is missing is not seen.`,
    },
  ];
}
