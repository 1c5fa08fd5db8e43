import type { JobControl } from '../src/geometry/job-control.ts';
import { runInSteps } from '../src/geometry/steps.ts';
import type { Vec3 } from '../src/geometry/types.ts';
import { draftTeeth } from '../src/teeth/draft-teeth.ts';
import type { TeethBase } from '../src/teeth/prepare-teeth.ts';
import { segmentInSteps } from '../src/teeth/segment-teeth.ts';
import type { ClickSet } from '../src/teeth/types.ts';

const APART_MM = 8;

/**
 * Practises answering clicks on a scan that has none yet, so that the engine has compiled the code by the time of the
 * first click: cold, that click takes five times as long. Nothing is kept of it.
 *
 * @throws ArchgapError `CANCELLED` from the control, which is to say so as soon as there is real work
 */
export async function warmUp(base: TeethBase, control: JobControl): Promise<void> {
  const clicks = practiceClicks(base);
  const one = { ...clicks, clicks: clicks.clicks.slice(0, 1) };
  draftTeeth(base, one, null);
  const first = await runInSteps(segmentInSteps(base, one), control);
  draftTeeth(base, clicks, first);
  await runInSteps(segmentInSteps(base, clicks, first), control);
}

/** Two places of the surface about as far apart as two teeth; whether there are teeth does not matter. */
function practiceClicks({ graph: { centroid, nodeCount } }: TeethBase): ClickSet {
  const at = (i: number): Vec3 => [centroid[3 * i]!, centroid[3 * i + 1]!, centroid[3 * i + 2]!];
  const start = at(nodeCount >> 1);
  let best = 0;
  let least = Number.POSITIVE_INFINITY;
  for (let i = 0; i < nodeCount; i++) {
    const off = Math.abs(Math.hypot(...at(i).map((v, k) => v - start[k]!)) - APART_MM);
    if (off >= least) continue;
    least = off;
    best = i;
  }
  return {
    jaw: 'upper',
    clicks: [
      { tooth: 11, point: start },
      { tooth: 21, point: at(best) },
    ],
    missing: [],
    fixed: [],
  };
}
