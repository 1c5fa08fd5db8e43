import { beforeAll, describe, expect, it } from 'vitest';
import { FRONT } from '../../fixtures/specs.ts';
import { faceAdjacency } from '../../src/geometry/adjacency.ts';
import { triangleAreas } from '../../src/geometry/triangle-geometry.ts';
import { type ArchResult, evaluateSegmentation } from './evaluate-segmentation.ts';
import type { LabelledCase } from './labelled-case.ts';
import { madeCase } from './made-case.ts';
import { mirroredCase, unclickedCase } from './variants/case-edits.ts';
import { decimatedCase } from './variants/decimated-case.ts';
import { firstClickSet } from './variants/remade-case.ts';
import { takenOutCase } from './variants/taken-out-case.ts';
import { variantsTable, worstTeeth } from './variants/variants-report.ts';

let whole: LabelledCase;
let coarse: LabelledCase;
beforeAll(async () => {
  whole = await madeCase({ ...FRONT, name: 'front-quick', gridMm: 0.3, toothEdgeMm: 0.4, gumEdgeMm: 0.7 });
  coarse = await decimatedCase(whole, 5000);
}, 120_000);

const areaOf = ({ scan, truth }: LabelledCase, tooth: number): number =>
  triangleAreas(scan).reduce((sum, area, t) => (truth[t] === tooth ? sum + area : sum), 0);

async function judged(labelled: LabelledCase): Promise<ArchResult> {
  for await (const result of evaluateSegmentation(labelled, { jitter: null, spaces: false })) return result;
  throw new Error('the case has no clicks');
}

describe('a decimated mouth', () => {
  it('has the triangles asked for and the crowns it had', () => {
    expect(coarse.scan.triangles.length / 3).toBeLessThanOrEqual(5000);
    expect(coarse.scan.triangles.length / 3).toBeGreaterThan(4800);
    for (const tooth of [12, 11, 21, 22])
      expect(areaOf(coarse, tooth) / areaOf(whole, tooth)).toBeCloseTo(1, 1);
  });

  it('is told apart as the whole one', async () => {
    const { teeth } = await judged(coarse);
    expect(Math.min(...teeth.map(({ iou }) => iou))).toBeGreaterThan(0.94);
  });
});

describe('a tooth taken out', () => {
  it('leaves its neighbours, and gum in its place', async () => {
    const gone = await takenOutCase(whole, [11], true);
    expect(firstClickSet(gone)).toMatchObject({ missing: [11] });
    expect(firstClickSet(gone).clicks.map(({ tooth }) => tooth)).toEqual([12, 21, 22]);
    expect(areaOf(gone, 11)).toBe(0);
    for (const tooth of [12, 21])
      expect(areaOf(gone, tooth)).toBeGreaterThanOrEqual(areaOf(whole, tooth) - 1e-3);
    const openEdges = ({ scan }: LabelledCase): number =>
      faceAdjacency(scan.triangles, scan.positions.length / 3).reduce((sum, g) => sum + (g < 0 ? 1 : 0), 0);
    // Cracks of single edges stay where the ring doubles back in plan; an unfilled ring would leave far more.
    expect(openEdges(gone) - openEdges(whole)).toBeLessThan(50);
    const { teeth } = await judged(await decimatedCase(gone, 5000));
    expect(Math.min(...teeth.map(({ iou }) => iou))).toBeGreaterThan(0.9);
  });
});

describe('a tooth without a click', () => {
  it('is not swallowed by its neighbours', async () => {
    const result = await judged(unclickedCase(coarse, [21]));
    expect(result.teeth.map(({ tooth }) => tooth)).toEqual([11, 12, 22]);
    expect(result.swallowed).toBeLessThan(0.05);
  });
});

describe('a mirrored mouth', () => {
  it("has the other side's numbers and the same overlap", async () => {
    const mirrored = await mirroredCase(coarse);
    expect(areaOf(mirrored, 21)).toBeCloseTo(areaOf(coarse, 11), 1);
    const [there, here] = [await judged(mirrored), await judged(coarse)];
    const overlap = new Map(here.teeth.map(({ tooth, iou }) => [tooth, iou]));
    for (const { tooth, iou } of there.teeth)
      expect(iou).toBeCloseTo(overlap.get(tooth < 20 ? tooth + 10 : tooth - 10)!, 1);
  });
});

describe('the table of variants', () => {
  it('has a row per variant, two for the last molars and one for all', async () => {
    const result = await judged(coarse);
    const results = [
      { variant: 'one', mouth: 'm', result },
      { variant: 'two', mouth: 'm', result },
    ];
    expect(variantsTable(results, 'variant').split('\n')).toHaveLength(2 + 2 + 2 + 1);
    expect(variantsTable(results, 'mouth').split('\n')).toHaveLength(2 + 1 + 2 + 1);
    expect(worstTeeth(results, 1.01)).toHaveLength(8);
    expect(worstTeeth(results, 0)).toEqual([]);
  });
});
