import { describe, expect, it } from 'vitest';
import { highSpot } from '../../src/contacts/high-spots.ts';
import type { OpenGap } from '../../src/contacts/open-gap.ts';
import type { Vec3 } from '../../src/geometry/types.ts';

/** Flat walls 0.3 mm apart along x: A at 0, B at 0.3; the window looks along x. */
function flatFit(): OpenGap {
  const wall = (z: number) => ({
    degree: 2,
    radiusMm: 1,
    coefficients: Float64Array.from([z, 0, 0, 0, 0, 0]),
    points: 9,
  });
  return {
    window: { origin: [0, 0, 0], u: [0, 1, 0], v: [0, 0, 1], w: [1, 0, 0] },
    patchA: wall(0),
    patchB: wall(0.3),
    residualMm: 0.005,
  } as unknown as OpenGap;
}

/** Corners of the design before a scanned wall at x = 0 (it is B) or x = 0.3 (it is A). */
function found(corners: readonly Vec3[], isFirst: boolean, scannedMm?: (p: Vec3) => number | null) {
  const flat = ([x]: Vec3) => (isFirst ? x : 0.3 - x);
  const own = corners.map((_, i) => i);
  return highSpot(
    flatFit(),
    { positions: corners.flat(), own, isFirst, scannedMm: scannedMm ?? flat },
    0.295,
  );
}

describe('highSpot', () => {
  it('is the corner that comes nearest to the other wall: closed form, from either side', () => {
    const spots: Vec3[] = [
      [0.3, 0, 0],
      [0.12, 0.2, 0.1],
      [0.3, 0.4, 0],
    ];
    expect(found(spots, true)).toEqual({ mm: 0.12, point: [0.12, 0.2, 0.1] });
    expect(found([[0.1, -0.2, 0.1]], false)!.mm).toBeCloseTo(0.2, 12);
  });

  it('is nothing where no corner stands out, or only outside of the window', () => {
    expect(found([[0.3, 0, 0]], true)).toBeNull();
    expect(found([[0.1, 0.9, 0]], true)).toBeNull();
  });

  it('passes over corners where the scanned wall does not bear the patch out', () => {
    const spots: Vec3[] = [
      [0.05, 0.5, 0],
      [0.2, 0, 0],
    ];
    // the scanned wall falls away beyond y = 0.4: the patch there is an extension
    const scanned = ([x, y]: Vec3) => (y > 0.4 ? x + 0.2 : x);
    expect(found(spots, true, scanned)!.mm).toBeCloseTo(0.2, 12);
    expect(found(spots, true, () => null)).toBeNull();
  });
});
