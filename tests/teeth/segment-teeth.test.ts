import { beforeAll, describe, expect, it } from 'vitest';
import { triangleAreas } from '../../src/geometry/triangle-geometry.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { snapClicks } from '../../src/teeth/clicks.ts';
import { prepareTeeth, type TeethBase } from '../../src/teeth/prepare-teeth.ts';
import { segmentTeeth } from '../../src/teeth/segment-teeth.ts';
import type { ClickSet, Segmentation } from '../../src/teeth/types.ts';
import { borderDistances, borderError, labelBorders } from '../evaluation/border-error.ts';
import { seededRandom } from '../helpers/random.ts';
import {
  LABELLED_CASES,
  type LabelledCase,
  meanOf,
  readLabelledCase,
  sharedDataPresent,
  toothIou,
} from './shared-scans.ts';

/** Goals per scan (by area): mean over its teeth, and its worst tooth. */
const GOALS = {
  real: { mean: 0.95, worst: 0.92 },
  synthetic: { mean: 0.98, worst: 0.96 },
} as const;

/** Goals for the borders of synthetic scans against the true ones: median and 95 %, mm. */
const BORDER_GOAL = { medianMm: 0.08, p95Mm: 0.2 } as const;

/** Clicks moved by up to 1.5 mm in a random direction, then put back on the surface. */
function jittered(set: ClickSet, seed: number): ClickSet {
  const random = seededRandom(seed);
  const clicks = set.clicks.map((click) => {
    for (;;) {
      const d: Vec3 = [3 * random() - 1.5, 3 * random() - 1.5, 3 * random() - 1.5];
      if (Math.hypot(...d) > 1.5) continue;
      const [x, y, z] = click.point;
      return { ...click, point: [x + d[0], y + d[1], z + d[2]] as Vec3 };
    }
  });
  return { ...set, clicks };
}

function expectOnePiecePerTooth(adjacency: Int32Array, segmentation: Segmentation): void {
  const { labels } = segmentation;
  const pieces = new Map<number, number>();
  const seen = new Uint8Array(labels.length);
  for (let seed = 0; seed < labels.length; seed++) {
    const label = labels[seed]!;
    if (label === 0 || seen[seed]) continue;
    pieces.set(label, (pieces.get(label) ?? 0) + 1);
    const stack = [seed];
    seen[seed] = 1;
    for (let f = stack.pop(); f !== undefined; f = stack.pop()) {
      for (let h = 3 * f; h < 3 * f + 3; h++) {
        const g = adjacency[h]!;
        if (g < 0 || seen[g] || labels[g] !== label) continue;
        seen[g] = 1;
        stack.push(g);
      }
    }
  }
  expect([...pieces.values()]).toEqual(new Array(14).fill(1));
}

describe.runIf(sharedDataPresent())('segmentTeeth on labelled scans', () => {
  describe.each(LABELLED_CASES)('%s', (name) => {
    const goal = name.startsWith('real') ? GOALS.real : GOALS.synthetic;
    const files = name.startsWith('real') ? ['clicks.json'] : ['clicks.json', 'clicks-alt.json'];
    let labelled: LabelledCase;
    let base: TeethBase;
    beforeAll(async () => {
      labelled = readLabelledCase(name);
      base = await prepareTeeth(labelled.scan);
    });

    const check = (set: ClickSet): Segmentation => {
      const segmentation = segmentTeeth(base, set);
      const iou = toothIou(triangleAreas(labelled.scan), labelled.truth, segmentation.labels);
      expect.soft(iou.size).toBe(14);
      expect.soft(meanOf(iou.values())).toBeGreaterThanOrEqual(goal.mean);
      expect.soft(Math.min(...iou.values())).toBeGreaterThanOrEqual(goal.worst);
      return segmentation;
    };

    const expectBorders = ({ labels }: Segmentation): void => {
      const { scan, truth } = labelled;
      const [own, given] = [labels, truth].map((map) => labelBorders(scan, base.fabric.adjacency, map));
      for (const kind of ['gum', 'teeth'] as const) {
        const { points, medianMm, p95Mm } = borderError(borderDistances(given![kind], own![kind]));
        expect.soft(points).toBeGreaterThan(1000);
        expect.soft(medianMm).toBeLessThan(BORDER_GOAL.medianMm);
        expect.soft(p95Mm).toBeLessThan(BORDER_GOAL.p95Mm);
      }
    };

    it.each(files)('reaches the goal with %s, one piece per tooth, and again the same', (file) => {
      const set = labelled.clicks.get(file)!;
      const segmentation = check(set);
      expectOnePiecePerTooth(base.fabric.adjacency, segmentation);
      if (goal === GOALS.synthetic) expectBorders(segmentation);
      expect(segmentTeeth(base, set).labels).toEqual(segmentation.labels);
    });

    it.each([1, 2])('reaches the goal with clicks up to 1.5 mm off, seed %i', (seed) => {
      check(snapClicks(labelled.scan, jittered(labelled.clicks.get('clicks.json')!, seed)));
    });
  });
});
