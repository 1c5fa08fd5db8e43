import { inputError } from '../geometry/archgap-error.ts';
import { type JobControl, subJob, UNATTENDED } from '../geometry/job-control.ts';
import type { Vec3 } from '../geometry/types.ts';
import type { Scan } from '../scan/types.ts';
import { fitArchCurve, sampleArchCurve } from '../teeth/arch-curve.ts';
import { refuseWrongNumbers } from '../teeth/check-numbers.ts';
import { toothSortIndex } from '../teeth/notation.ts';
import { measureTeeth } from '../teeth/tooth-records.ts';
import type { ClickSet, Segmentation, ToothNumber } from '../teeth/types.ts';
import { letGoSurface, prepareArchSurface } from './arch-surface.ts';
import { checkLimit } from './check-limit.ts';
import { type LabelledArch, measureArch } from './measure-arch.ts';
import { noteNotClicked } from './not-clicked.ts';
import { sizeTeeth } from './size-teeth.ts';
import type { Analysis, Contact, MeasureSettings } from './types.ts';

/** Points of the arch curve kept in the record. */
const CURVE_POINTS = 64;
/** Share of the job that the contacts take before the sizes of the teeth. */
const CONTACTS_SHARE = 0.7;

/**
 * From a labelled scan to its contacts: the record that table, plot, plan and report read.
 *
 * @param scan - not modified
 * @param clicks - jaw, missing and fixed teeth
 * @param segmentation - labels per triangle and the occlusal frame
 * @param normals - those of `vertexNormals` where they are at hand, not modified
 * @throws ArchgapError `LIMIT_OUT_OF_RANGE`, `ONE_TOOTH`, `NUMBERS_MIRRORED`, `NUMBERS_OUT_OF_ORDER`
 */
export async function measureContacts(
  scan: Scan,
  clicks: ClickSet,
  segmentation: Segmentation,
  settings: MeasureSettings,
  control: JobControl = UNATTENDED,
  normals: Float32Array | null = null,
): Promise<Analysis> {
  checkLimit(settings.limitMm);
  await control.checkpoint(0, 'measuring the teeth');
  const teeth = [...measureTeeth(scan, segmentation, clicks)].sort(
    (a, b) => toothSortIndex(a.tooth) - toothSortIndex(b.tooth),
  );
  if (teeth.length < 2) {
    throw inputError(
      'ONE_TOOTH',
      `${teeth.length === 0 ? 'No tooth was' : 'Only one tooth was'} found on the scan; a contact needs two neighbours. Click each tooth once.`,
    );
  }
  const centres = new Map<ToothNumber, Vec3>(teeth.map((record) => [record.tooth, record.centre]));
  refuseWrongNumbers(centres, segmentation.frame, clicks.jaw);
  const curve = fitArchCurve(segmentation.frame, [...centres.values()]);
  const arch: LabelledArch = {
    mesh: scan,
    labels: segmentation.labels,
    jaw: clicks.jaw,
    frame: segmentation.frame,
    curve,
    centres,
  };
  const surface = prepareArchSurface(scan, segmentation.labels, normals);
  const measured = await measureArch(arch, settings, subJob(control, 0, CONTACTS_SHARE), surface);
  const contacts = noteNotClicked(measured, clicks.jaw, clicks.missing);
  const sized = await sizeTeeth(arch, surface, teeth, contacts, subJob(control, CONTACTS_SHARE, 1));
  letGoSurface(surface, normals);
  return {
    sources: [scan.source],
    health: scan.health,
    kind: 'scan',
    originMm: scan.originMm,
    fileUnit: scan.source.unit.unit,
    jaw: clicks.jaw,
    frame: segmentation.frame,
    archCurve: sampleArchCurve(curve, CURVE_POINTS),
    teeth: sized,
    missing: clicks.missing,
    contacts,
    settings,
    warnings: [
      ...segmentation.warnings.map(({ code, sentence, teeth }) => ({ code, sentence, teeth })),
      ...frameWarnings(segmentation),
      ...contactWarnings(contacts),
    ],
  };
}

/** Heights count from the occlusal plane: said when it is none of crown tops. */
function frameWarnings({ frameBasis }: Segmentation): { code: string; sentence: string }[] {
  if (frameBasis !== 'surface') return [];
  return [
    {
      code: 'OCCLUSAL_APPROXIMATE',
      sentence:
        'Too few teeth, or teeth in a line, show no plane of crown tops; the occlusal direction comes from the clicks and the surface near them, and heights are approximate.',
    },
  ];
}

/** What the user should know about the whole row. */
function contactWarnings(contacts: readonly Contact[]): { code: string; sentence: string }[] {
  const coarse = contacts.filter((contact) => contact.notes.includes('coarse')).length;
  if (coarse === 0) return [];
  return [
    {
      code: 'SCAN_COARSE',
      sentence: `The triangles at ${coarse} of ${contacts.length} contacts are longer than 0.35 mm; small spaces cannot be measured there. Export the scan at its full resolution.`,
    },
  ];
}
