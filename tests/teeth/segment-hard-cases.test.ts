import { beforeAll, describe, expect, it } from 'vitest';
import { triangleAreas } from '../../src/geometry/triangle-geometry.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { snapClicks } from '../../src/teeth/clicks.ts';
import { prepareTeeth, type TeethBase } from '../../src/teeth/prepare-teeth.ts';
import { segmentTeeth } from '../../src/teeth/segment-teeth.ts';
import type { ClickSet, ToothMap } from '../../src/teeth/types.ts';
import { closeBase } from './close-base.ts';
import { carryLabels, coarsen } from './coarsen.ts';
import {
  type LabelledCase,
  meanOf,
  readLabelledCase,
  scanOf,
  sharedDataPresent,
  toothIou,
} from './shared-scans.ts';

/** Worst IoU of the clicked teeth, and the largest share of an unclicked tooth that a neighbour took. */
function judge(
  base: TeethBase,
  truth: ToothMap,
  set: ClickSet,
): { mean: number; worst: number; swallowed: number } {
  const { labels } = segmentTeeth(base, set);
  const clicked = new Set(set.clicks.map((click) => click.tooth as number));
  const areas = triangleAreas(base.scan);
  const iou = [...toothIou(areas, truth, labels)].filter(([tooth]) => clicked.has(tooth));
  const total = new Float64Array(256);
  const taken = new Float64Array(256);
  truth.forEach((tooth, f) => {
    if (tooth === 0 || clicked.has(tooth)) return;
    total[tooth]! += areas[f]!;
    if (labels[f] !== 0) taken[tooth]! += areas[f]!;
  });
  const values = iou.map(([, value]) => value);
  expect(values.length).toBe(clicked.size);
  return {
    mean: meanOf(values),
    worst: Math.min(...values),
    swallowed: Math.max(0, ...taken.map((area, tooth) => (total[tooth]! > 0 ? area / total[tooth]! : 0))),
  };
}

const CASES = [
  { name: 'real/arch-upper', worst: 0.92, quadrant: 0.92, coarse: { mean: 0.95, worst: 0.92 } },
  { name: 'synthetic/lower-all-closed', worst: 0.96, quadrant: 0.96, coarse: { mean: 0.97, worst: 0.95 } },
] as const;

describe.runIf(sharedDataPresent())('segmentTeeth on hard cases', () => {
  describe.each(CASES)('$name', ({ name, worst, quadrant, coarse }) => {
    let labelled: LabelledCase;
    let base: TeethBase;
    let set: ClickSet;
    beforeAll(async () => {
      labelled = readLabelledCase(name);
      base = await prepareTeeth(labelled.scan);
      set = labelled.clicks.get('clicks.json')!;
    });
    const without = (places: readonly number[]): ClickSet => ({
      ...set,
      clicks: set.clicks.filter((_, k) => !places.includes(k)),
    });

    it.each([[[0, 3, 7]], [[2, 6, 11]], [[4, 5, 13]]])(
      'leaves unclicked teeth alone (places %j)',
      (places) => {
        const result = judge(base, labelled.truth, without(places));
        expect(result.worst).toBeGreaterThanOrEqual(worst);
        expect(result.swallowed).toBeLessThan(0.05);
      },
    );

    it('stands a single quadrant, three teeth and one tooth', () => {
      for (const clicks of [
        set.clicks.slice(0, 7),
        set.clicks.slice(7),
        set.clicks.slice(4, 7),
        set.clicks.slice(9, 10),
      ]) {
        const result = judge(base, labelled.truth, { ...set, clicks });
        expect.soft(result.worst).toBeGreaterThanOrEqual(quadrant);
        expect.soft(result.swallowed).toBeLessThan(0.05);
      }
    });

    it('stands edges of a millimetre (10,000 triangles)', async () => {
      const mesh = coarsen(labelled.scan, 10_000);
      const scan = scanOf(mesh);
      const truth = carryLabels(labelled.scan, labelled.truth, mesh);
      const coarseBase = await prepareTeeth(scan);
      expect(mesh.triangles.length / 3).toBeLessThanOrEqual(10_000);
      expect(coarseBase.edgeMm).toBeGreaterThan(0.8);
      const result = judge(coarseBase, truth, snapClicks(scan, set));
      expect.soft(result.mean).toBeGreaterThanOrEqual(coarse.mean);
      expect.soft(result.worst).toBeGreaterThanOrEqual(coarse.worst);
    });

    it('stands a closed, trimmed model base and any pose', async () => {
      const { frame } = segmentTeeth(base, set);
      const closed = closeBase(labelled.scan, frame.z, 10);
      // A rotation (3-4-5 angles) and a shift.
      const pose = (p: Vec3): Vec3 => [
        0.36 * p[0] + 0.48 * p[1] - 0.8 * p[2] + 40,
        0.8 * p[0] - 0.6 * p[1],
        -0.48 * p[0] - 0.64 * p[1] - 0.6 * p[2],
      ];
      const positions = closed.positions.slice();
      for (let v = 0; v < positions.length; v += 3) {
        positions.set(pose([positions[v]!, positions[v + 1]!, positions[v + 2]!]), v);
      }
      const scan = scanOf({ positions, triangles: closed.triangles });
      const truth = new Uint8Array(scan.triangles.length / 3);
      truth.set(labelled.truth);
      const clicks = set.clicks.map((click) => ({ ...click, point: pose(click.point) }));
      const result = judge(await prepareTeeth(scan), truth, { ...set, clicks });
      expect(result.worst).toBeGreaterThanOrEqual(worst);
    });
  });
});
