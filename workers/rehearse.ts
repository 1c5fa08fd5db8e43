import { completePlan } from '../src/closure/complete-plan.ts';
import { DEFAULT_CLOSURE_SETTINGS } from '../src/closure/settings.ts';
import { measureContacts } from '../src/contacts/measure-contacts.ts';
import type { JobControl } from '../src/geometry/job-control.ts';
import { runInSteps } from '../src/geometry/steps.ts';
import { readScan } from '../src/scan/read-scan.ts';
import { clicksToScanFrame, snapClicks } from '../src/teeth/clicks.ts';
import { prepareTeeth } from '../src/teeth/prepare-teeth.ts';
import { segmentInSteps } from '../src/teeth/segment-teeth.ts';
import { rehearsalClicks, rehearsalSheet } from './rehearsal-sheet.ts';
import { warmUp } from './warm-up.ts';

/**
 * Goes through the whole job once on a small made-up surface, so that the engine has compiled what the first scan
 * needs by the time somebody has picked it. Nothing is kept of it.
 *
 * @throws ArchgapError `CANCELLED` from the control, which is to say so as soon as there is real work
 */
export async function rehearse(control: JobControl): Promise<void> {
  const scan = await readScan(rehearsalSheet(), { fileName: 'rehearsal.stl', control });
  const base = await prepareTeeth(scan, control);
  await warmUp(base, control);
  const clicks = snapClicks(scan, clicksToScanFrame(rehearsalClicks(), scan));
  const segmentation = await runInSteps(segmentInSteps(base, clicks), control);
  const { limitMm } = DEFAULT_CLOSURE_SETTINGS;
  const analysis = await measureContacts(scan, clicks, segmentation, { limitMm }, control);
  // The sheet has no space that was measured: as if floss had found one, so that there is something to plan.
  const floss = [{ toothA: 11, toothB: 21, finding: 'open' }] as const;
  const surfaces = { mesh: scan, labels: segmentation.labels };
  await completePlan(analysis, { ...DEFAULT_CLOSURE_SETTINGS, floss }, surfaces, control);
}
