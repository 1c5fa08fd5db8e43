import { describe, expect, it } from 'vitest';
import { triangleCentroids } from '../../src/geometry/triangle-geometry.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { distance, vertexAt } from '../../src/geometry/vec3.ts';
import { checkClickHeights } from '../../src/teeth/check-click-heights.ts';
import { prepareTeeth } from '../../src/teeth/prepare-teeth.ts';
import { segmentTeeth } from '../../src/teeth/segment-teeth.ts';
import type { Click } from '../../src/teeth/types.ts';
import { LABELLED_CASES, readLabelledCase, sharedDataPresent } from './shared-scans.ts';

/** A row of five flat-topped crowns, 8 mm apart along x and 7 mm high over a floor, as surface points 0.5 mm apart. */
function row() {
  const centroid: number[] = [];
  for (let x = -4; x <= 36; x += 0.5) {
    for (let y = -12; y <= 12; y += 0.5) {
      const off = Math.abs(x - 8 * Math.round(x / 8));
      centroid.push(x, y, off < 3.2 && Math.abs(y) < 4 ? 7 : 0);
    }
  }
  const nodeAreaVector = Float32Array.from(centroid, (_, k) => (k % 3 === 2 ? 0.25 : 0));
  return { nodeAreaVector, graph: { centroid: Float32Array.from(centroid), nodeCount: centroid.length / 3 } };
}
const TEETH = [15, 14, 13, 12, 11];
const onTop = (tooth: number, k: number) => ({ tooth, point: [8 * k, 0, 7] as Vec3 });

describe('checkClickHeights', () => {
  it('has nothing to say about clicks on tops and at the rim of a top', () => {
    expect(checkClickHeights(row(), TEETH.map(onTop))).toEqual([]);
    const atRim = TEETH.map(onTop).with(2, { tooth: 13, point: [16, 4.5, 3] });
    expect(checkClickHeights(row(), atRim)).toEqual([]);
  });

  it('names the click on the floor, how deep it lies, and what to do', () => {
    const teeth = TEETH.map(onTop).with(2, { tooth: 13, point: [16, 10, 0] });
    const warnings = checkClickHeights(row(), teeth);
    expect(warnings).toHaveLength(1);
    expect(warnings[0]).toMatchObject({ code: 'CLICK_BELOW_CROWNS', tooth: 13 });
    expect(warnings[0]!.sentence).toContain('7 mm below the tops');
    expect(warnings[0]!.sentence).toContain('Drag it to the middle of the crown, or remove it.');
  });

  it('keeps quiet while there are too few other clicks to compare with', () => {
    const teeth = TEETH.map(onTop).with(2, { tooth: 13, point: [16, 10, 0] });
    expect(checkClickHeights(row(), teeth.slice(0, 3))).toEqual([]);
  });
});

describe.runIf(sharedDataPresent())('checkClickHeights on labelled scans', () => {
  it.each(LABELLED_CASES.slice(0, 3))('%s: right clicks pass, one on gum is named', async (name) => {
    const { scan, truth, clicks } = readLabelledCase(name);
    const base = await prepareTeeth(scan);
    const set = clicks.get('clicks.json')!;
    const codes = (list: readonly Click[]) =>
      segmentTeeth(base, { ...set, clicks: list }).warnings.map(({ code, tooth }) => `${code} ${tooth}`);
    expect(codes(set.clicks)).toEqual([]);
    // Gum or palate some 15 mm from every click; the click nearest to it is the one that went astray.
    const centroid = triangleCentroids(base.scan);
    const away = (f: number) => set.clicks.map(({ point }) => distance(point, vertexAt(centroid, f)));
    const astray = truth.findIndex((label, f) => label === 0 && Math.min(...away(f)) > 15);
    expect(astray).toBeGreaterThanOrEqual(0);
    const distances = away(astray);
    const k = distances.indexOf(Math.min(...distances));
    const wrong = set.clicks.with(k, { ...set.clicks[k]!, point: vertexAt(centroid, astray) });
    expect(codes(wrong)).toContain(`CLICK_BELOW_CROWNS ${set.clicks[k]!.tooth}`);
  });
});
