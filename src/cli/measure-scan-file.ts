import type { ContactView } from '../contacts/crown-contact-view.ts';
import { measureContacts } from '../contacts/measure-contacts.ts';
import type { Analysis, MeasureSettings } from '../contacts/types.ts';
import { ArchgapError, inputError, namingFile } from '../geometry/archgap-error.ts';
import { type JobControl, subJob } from '../geometry/job-control.ts';
import type { LabelledSurface } from '../report/labelled-ply.ts';
import { likelyUnits } from '../scan/decide-unit.ts';
import type { OpenFile } from '../scan/file-bytes.ts';
import { readScan } from '../scan/read-scan.ts';
import type { LengthUnit, Scan } from '../scan/types.ts';
import { MM_PER_UNIT } from '../scan/units.ts';
import { type ClickFile, clicksToScanFrame, snapClicks } from '../teeth/clicks.ts';
import { prepareTeeth } from '../teeth/prepare-teeth.ts';
import { segmentTeeth } from '../teeth/segment-teeth.ts';
import type { ClickSet, Segmentation, ToothMap, ToothWarning } from '../teeth/types.ts';

/** What a measurement leaves to be written. */
export interface Measured {
  readonly analysis: Analysis;
  /** The surface that was measured, with its labels: for sections and the labelled file. */
  readonly surface: LabelledSurface;
  readonly labels: ToothMap;
  readonly warnings: readonly ToothWarning[];
  /** Separate crowns: the pictures of their contacts. */
  readonly crownViews?: readonly ContactView[];
}

/** A scan as it was read from disk, with its clicks. */
interface ScanInput {
  /** Name for people and for the tables. */
  readonly fileName: string;
  /** Whole in memory, or open. */
  readonly file: Uint8Array | OpenFile;
  readonly clicks: ClickFile;
  /** What the user calls the click file, for refusals of what stands in it. */
  readonly clicksName: string;
  /** What the user says the numbers are; null: decided from the size. */
  readonly unit: LengthUnit | null;
}

/** A scan and the clicks on its surface. */
export interface ClickedScan {
  readonly scan: Scan;
  readonly clicks: ClickSet;
}

/**
 * A scan that was read with its clicks to its contacts. Whoever calls it holds the bytes of the file no longer: they
 * are as large as the scan itself.
 *
 * @param clicksName - see `ScanInput`
 * @param job - reading was its first 30 %
 */
export async function measureRead(
  { scan, clicks }: ClickedScan,
  clicksName: string,
  settings: MeasureSettings,
  job: JobControl,
): Promise<Measured> {
  return namingTheUnit(scan, () =>
    ofClicks({ clicksName }, () => measureClicked(scan, clicks, settings, job)),
  );
}

/**
 * A scan and its clicks, read in one unit and with the clicks on its surface: for every command that takes both.
 *
 * @throws ArchgapError as `readScan` and `snapClicks`, and `UNIT_DISAGREES`, `UNIT_IMPLAUSIBLE`
 */
export async function readClickedScan(
  { fileName, file, clicks, clicksName, unit }: ScanInput,
  job: JobControl,
): Promise<ClickedScan> {
  const read = (asUnit: LengthUnit | null) => readScan(file, { fileName, unit: asUnit, control: job });
  let scan = await read(unit);
  // Two units may fit the size of a scan; the click file then settles which.
  if (!scan.source.unit.sure && unit === null && clicks.unit !== scan.source.unit.unit) {
    const asClicked = await read(clicks.unit);
    if (asClicked.source.unit.sure) scan = asClicked;
  }
  const asked = clicksInUnitOf(scan, clicks, unit);
  const snapped = await namingTheUnit(scan, () =>
    ofClicks({ clicksName }, () => snapClicks(scan, clicksToScanFrame(asked, scan))),
  );
  return { scan, clicks: snapped };
}

/** Does the work; what is refused of a scan that was read whole lies with its clicks, and their file is named. */
async function ofClicks<T>(
  { clicksName }: Pick<ScanInput, 'clicksName'>,
  work: () => T | Promise<T>,
): Promise<T> {
  try {
    return await work();
  } catch (fault) {
    throw namingFile(fault, clicksName);
  }
}

/**
 * A scan with clicks on its surface to its contacts.
 * @param job - reading was its first 30 %
 */
export async function measureClicked(
  scan: Scan,
  clicks: ClickSet,
  settings: MeasureSettings,
  job: JobControl,
): Promise<Measured> {
  const segmentation = await tellApart(scan, clicks, job);
  const analysis = await measureContacts(scan, clicks, segmentation, settings, subJob(job, 0.65, 0.95));
  return { analysis, surface: scan, labels: segmentation.labels, warnings: segmentation.warnings };
}

/** A function of its own, so that what is known of every triangle, as large as the scan twice over, goes when it ends. */
async function tellApart(scan: Scan, clicks: ClickSet, job: JobControl): Promise<Segmentation> {
  const base = await prepareTeeth(scan, subJob(job, 0.3, 0.55));
  await job.checkpoint(0.55, 'telling the teeth apart');
  return segmentTeeth(base, clicks);
}

/**
 * Does the work; where it fails and a stated unit makes no size of teeth, that is the likelier cause. What failed is told
 * beside it only where no other unit makes one either: else it would be of distances that are a thousand times too long.
 *
 * @throws ArchgapError as the work, or `UNIT_IMPLAUSIBLE`
 */
export async function namingTheUnit<T>(
  { source: { unit }, health: { sizeMm, medianEdgeMm } }: Scan,
  work: () => T | Promise<T>,
): Promise<T> {
  try {
    return await work();
  } catch (fault) {
    const isCause = fault instanceof ArchgapError && fault.kind === 'input';
    if (!isCause || unit.sure || unit.basis !== 'user') throw fault;
    const inFile = (mm: number) => mm / MM_PER_UNIT[unit.unit];
    const fits = likelyUnits({ longestSide: inFile(Math.max(...sizeMm)), medianEdge: inFile(medianEdgeMm) });
    const consequence = ` With another one this may not come up: ${fault.message}`;
    throw inputError('UNIT_IMPLAUSIBLE', `${unit.sentence}${fits.length > 0 ? '' : consequence}`, {
      cause: fault,
    });
  }
}

/** The clicks stand in the file's own numbers, so one unit holds for both; `--unit` rules both. */
function clicksInUnitOf(scan: Scan, file: ClickFile, said: LengthUnit | null): ClickFile {
  const { unit, sentence } = scan.source.unit;
  if (said !== null || file.unit === unit) return { ...file, unit };
  throw inputError(
    'UNIT_DISAGREES',
    `The click file says ${file.unit}, the scan ${unit}. ${sentence} Correct "unit" in the click file, or say --unit.`,
    { details: { clicks: file.unit, scan: unit } },
  );
}
