import { ArchgapError } from '../geometry/archgap-error.ts';
import { type JobControl, subJob, UNATTENDED } from '../geometry/job-control.ts';
import type { TriangleMesh } from '../geometry/types.ts';
import { type ScanWarning, scanWarnings } from '../scan/scan-warnings.ts';
import type { Scan } from '../scan/types.ts';
import { type ArchAlignment, alignArch } from '../teeth/align-arch.ts';
import { carryClicks, type EarlierTeeth } from '../teeth/carry-clicks.ts';
import { prepareTeeth } from '../teeth/prepare-teeth.ts';
import { segmentTeeth } from '../teeth/segment-teeth.ts';
import type { ClickSet, Segmentation, ToothMap } from '../teeth/types.ts';
import { clickedOnceWarnings } from './clicked-once.ts';
import { type ContactChange, compareContacts, type PlannedSpace } from './compare-contacts.ts';
import { measureContacts } from './measure-contacts.ts';
import { numberedOtherwiseWarnings } from './numbered-otherwise.ts';
import type { Analysis, MeasureSettings } from './types.ts';

/** An earlier case: what was measured, and the scan with its teeth. */
export interface EarlierCase {
  readonly analysis: Analysis;
  readonly mesh: TriangleMesh;
  readonly labels: ToothMap;
  /** What its plan expected; empty when there is none. */
  readonly planned: readonly PlannedSpace[];
}

/** A new scan of an earlier case, measured and compared. */
export interface FollowUp {
  /** Null where the user's clicks said which tooth is which and the scans could not be laid over each other. */
  readonly alignment: ArchAlignment | null;
  readonly clicks: ClickSet;
  readonly segmentation: Segmentation;
  readonly analysis: Analysis;
  readonly changes: readonly ContactChange[];
  /** Of the checks of both scans, then of the comparison. */
  readonly warnings: readonly ScanWarning[];
}

/**
 * Measures a new scan of an earlier case and compares every contact: the scans are laid over each other on the teeth,
 * clicks and numbers come from the earlier case unless the user gives clicks for the new scan.
 *
 * @param given - clicks on the new scan, or null: carried over
 * @param scannerIsStated - the scanner in `settings` was said to be that of the new scan. Else it is the earlier
 *   scan's, taken over: the two scans then count as made by different ones (U of a change is the larger), with a warning
 * @throws ArchgapError `SCANS_DO_NOT_MATCH` (without clicks), and as `segmentTeeth` and `measureContacts`
 */
export async function measureFollowUp(
  earlier: EarlierCase,
  scan: Scan,
  given: ClickSet | null,
  settings: MeasureSettings,
  control: JobControl = UNATTENDED,
  scannerIsStated = false,
): Promise<FollowUp> {
  const teeth = earlierTeeth(earlier);
  const { alignment, refusal } = await align(teeth, scan, given !== null, subJob(control, 0, 0.45));
  const clicks = given ?? carryClicks(teeth, alignment!, scan);
  const base = await prepareTeeth(scan, subJob(control, 0.45, 0.6));
  await control.checkpoint(0.6, 'telling the teeth apart');
  const segmentation = segmentTeeth(base, clicks);
  const used = withStatement(settings, scannerIsStated);
  const analysis = await measureContacts(scan, clicks, segmentation, used, subJob(control, 0.7, 1));
  return {
    alignment,
    clicks,
    segmentation,
    analysis,
    changes: compareContacts(earlier.analysis, analysis, earlier.planned, alignment, scannerIsStated),
    warnings: [
      ...scanWarnings(earlier.analysis.health, 'Earlier scan'),
      ...scanWarnings(scan.health, 'New scan'),
      ...(refusal ? [refusal] : []),
      ...(alignment ? alignmentWarnings(alignment) : []),
      ...numberedOtherwiseWarnings(earlier.analysis, analysis, alignment),
      ...clickedOnceWarnings(earlier.analysis, analysis, alignment),
      ...scannerWarnings(settings, scannerIsStated),
    ],
  };
}

/** Whether the scanner was said stays with the result: it may be the earlier case of a later comparison. */
function withStatement(
  { scannerTakenOver: _, ...settings }: MeasureSettings,
  isStated: boolean,
): MeasureSettings {
  return settings.scanner === undefined || isStated ? settings : { ...settings, scannerTakenOver: true };
}

/** What an earlier case says about its teeth, ready to be laid over a new scan. */
export function earlierTeeth({
  analysis,
  mesh,
  labels,
}: Pick<EarlierCase, 'analysis' | 'mesh' | 'labels'>): EarlierTeeth {
  const { jaw, frame, teeth, missing } = analysis;
  const fixed = teeth.filter((record) => record.fixed).map((record) => record.tooth);
  return { mesh, labels, teeth, jaw, frame, missing, fixed };
}

async function align(
  teeth: EarlierTeeth,
  scan: Scan,
  hasClicks: boolean,
  control: JobControl,
): Promise<{
  alignment: ArchAlignment | null;
  refusal: { readonly code: string; readonly sentence: string } | null;
}> {
  try {
    return { alignment: await alignArch(teeth, scan, control), refusal: null };
  } catch (fault) {
    if (!hasClicks || !(fault instanceof ArchgapError) || fault.kind !== 'input') throw fault;
    // The user says which tooth is which: the contacts can be compared, but nothing vouches for the patient.
    return { alignment: null, refusal: { code: fault.code, sentence: fault.message } };
  }
}

/** Says so where the scanner of the new scan was only taken over. */
export function scannerWarnings({ scanner }: MeasureSettings, isStated: boolean) {
  if (scanner === undefined || isStated) return [];
  const sentence = `The new scan is measured with the scanner terms of the earlier one (${scanner.name}); nobody said that it comes from that scanner, so changes carry the larger uncertainty of two scanners. Name the scanner of the new scan to settle it.`;
  return [{ code: 'SCANNER_NOT_SAID', sentence }];
}

/** Teeth that the new scan shows otherwise. */
export function alignmentWarnings({ teeth }: ArchAlignment): ScanWarning[] {
  const warnings: ScanWarning[] = [];
  const changed = teeth.filter(({ sighting }) => sighting === 'changed').map(({ tooth }) => tooth);
  const unseen = teeth.filter(({ sighting }) => sighting === 'not-seen').map(({ tooth }) => tooth);
  if (changed.length > 0) {
    warnings.push({
      code: 'TOOTH_CHANGED',
      sentence: `The crowns of ${changed.join(', ')} have another shape than on the earlier scan (restoration, attachment, wear, or a hole in the scan); check their clicks and their contacts.`,
      teeth: changed,
    });
  }
  if (unseen.length > 0) {
    warnings.push({
      code: 'TOOTH_NOT_SEEN',
      sentence: `Teeth ${unseen.join(', ')} of the earlier scan were not found on the new one by their crowns; their contacts are compared only where clicks on the new scan name them.`,
      teeth: unseen,
    });
  }
  return warnings;
}
