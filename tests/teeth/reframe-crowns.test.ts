import { describe, expect, it } from 'vitest';
import type { SurfaceGraph } from '../../src/geometry/graph-surface.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { crownFrames, expectedHeightMm } from '../../src/teeth/crown-frames.ts';
import type { PlacedTooth } from '../../src/teeth/occlusal-frame.ts';
import { toothAxis, visibleHeightScale } from '../../src/teeth/reframe-crowns.ts';

const Z: Vec3 = [0, 0, 1];

/** Nodes at the given places, 1 mm^2 each. */
function nodesAt(places: readonly Vec3[]): SurfaceGraph {
  const n = places.length;
  return {
    nodeCount: n,
    start: new Uint32Array(n + 1),
    target: new Uint32Array(0),
    lengthMm: new Float32Array(0),
    curvature: new Float32Array(0),
    rimMm: new Float32Array(n),
    area: new Float32Array(n).fill(1),
    centroid: Float32Array.from(places.flat()),
  };
}

describe('toothAxis', () => {
  const straight: PlacedTooth[] = [13, 12, 11, 21].map((tooth, k) => ({ tooth, point: [8 * k, 0, 0] }));
  const round: PlacedTooth[] = [16, 13, 11, 23, 26].map((tooth, k) => ({
    tooth,
    point: [20 * Math.cos((k * Math.PI) / 4), 20 * Math.sin((k * Math.PI) / 4), 0],
  }));
  /** All tooth surface looks this way; the gum (label 0) another. */
  const axis = (net: Vec3, teeth: readonly PlacedTooth[]) =>
    toothAxis({ nodeAreaVector: Float32Array.of(...net, 9, 9, -9) }, Uint8Array.of(1, 0), Z, teeth);
  const lean = 0.5;

  it('turns to where the teeth look, round an arch', () => {
    const [x, y, z] = axis([lean, 0, 1], round);
    expect(Math.atan2(x, z)).toBeCloseTo(Math.atan(lean), 6);
    expect(y).toBeCloseTo(0, 6);
  });

  it('believes a lean across a straight row not at all, one along it whole', () => {
    // A row of incisors shows more of its labial side than of the other: that is no tilt of the jaw.
    expect(axis([0, lean, 1], straight)[1]).toBeCloseTo(0, 6);
    const [x, , z] = axis([lean, 0, 1], straight);
    expect(Math.atan2(x, z)).toBeCloseTo(Math.atan(lean), 6);
  });

  it('stays where the teeth have no direction, or one from below', () => {
    expect(axis([0, 0, 0], round)).toEqual(Z);
    expect(axis([0.2, 0, -1], round)).toEqual(Z);
  });
});

describe('visibleHeightScale', () => {
  const teeth: PlacedTooth[] = [16, 15, 14, 13].map((tooth, k) => ({ tooth, point: [9 * k, 0, 0] }));
  const frames = crownFrames(teeth, Z, 1, []);
  /** Columns of nodes from the top of each frame + 0.5 down by a share of the expected height; one per tooth. */
  const mouth = (shares: readonly number[]) => {
    const places: Vec3[] = [];
    const labels: number[] = [];
    shares.forEach((share, t) => {
      const { origin, tooth } = frames[t]!;
      for (let k = 0; k <= 1000; k++) {
        places.push([origin[0], origin[1], origin[2] + 0.5 - (k / 1000) * share * expectedHeightMm(tooth)]);
        labels.push(t + 1);
      }
    });
    return { base: { graph: nodesAt(places) }, labels: Uint8Array.from(labels) };
  };
  const scaleOf = (shares: readonly number[]) => {
    const { base, labels } = mouth(shares);
    return visibleHeightScale(base, labels, frames.slice(0, shares.length));
  };

  it('is the median over the teeth of what stands out of the gum, against the average mouth', () => {
    // 3 % are left out at either end and half a millimetre at the top; a mouth in which 0.9 is seen is average.
    const ofTooth = (share: number, t: number) => share * 0.94 - 0.5 / expectedHeightMm(teeth[t]!.tooth);
    const shares = [0.8, 1, 0.9, 0.95];
    const ratios = shares.map(ofTooth).sort((a, b) => a - b);
    expect(scaleOf(shares)).toBeCloseTo((ratios[1]! + ratios[2]!) / 2 / 0.9, 1);
    expect(scaleOf(shares)).toBeLessThan(scaleOf(shares.map((share) => 1.1 * share)));
  });

  it('is held between 0.7 and 1.2', () => {
    expect(scaleOf([0.2, 0.2, 0.2, 0.2])).toBe(0.7);
    expect(scaleOf([3, 3, 3, 3])).toBe(1.2);
  });

  it('is 1 where fewer than four teeth say so', () => {
    expect(scaleOf([0.6, 0.6, 0.6])).toBe(1);
    const { base, labels } = mouth([0.6, 0.6, 0.6, 0.6]);
    expect(visibleHeightScale(base, labels, [...frames.slice(0, 3), null])).toBe(1);
  });
});
