import { describe, expect, it } from 'vitest';
import { crownPrior } from '../../src/teeth/crown-prior.ts';
import type { CrownFrame } from '../../src/teeth/types.ts';

const FRAME: CrownFrame = {
  tooth: 14,
  origin: [10, 20, 30],
  m: [1, 0, 0],
  b: [0, 1, 0],
  z: [0, 0, 1],
  limitBackMm: 3,
  limitOnMm: 4,
  freeBack: false,
  freeOn: true,
  halfBuccolingualMm: 5,
  heightMm: 6,
};

function rhoAt(...places: readonly (readonly [number, number, number])[]) {
  const points = Float32Array.from(places.flatMap(([x, y, z]) => [10 + x, 20 + y, 30 + z]));
  return crownPrior(points, [FRAME]);
}

describe('crownPrior', () => {
  it('is 1 on the axes at the limits, and does not count height above the top', () => {
    const { rho } = rhoAt([4, 0, 0], [-3, 0, 0], [0, 5, 0], [0, -5, 0], [0, 0, -6], [0, 0, 4], [4, 0, 9]);
    [1, 1, 1, 1, 1, 0, 1].forEach((expected, k) => {
      expect(rho[0]![k]).toBeCloseTo(expected, 5);
    });
  });

  it('adds the three directions as cubes, and along and across as squares for the lateral distance', () => {
    const { rho, lateral } = rhoAt([2, 2.5, -3]);
    expect(rho[0]![0]).toBeCloseTo(Math.cbrt(3 * 0.5 ** 3), 5);
    expect(lateral[0]).toBeCloseTo(Math.SQRT1_2, 5);
  });

  it('lets a crown end at a neighbour at any height, but at the gum only below its upper half', () => {
    // Towards the neighbour, towards the free end, across; at the top, a quarter and three quarters down.
    const { lateral } = rhoAt(
      ...[0, -1.5, -4.5].flatMap((z) => [[-3, 0, z] as const, [4, 0, z] as const, [0, 5, z] as const]),
    );
    [1, 0, 0, 1, 0.5, 0.5, 1, 1, 1].forEach((expected, k) => {
      expect(lateral[k]).toBeCloseTo(expected, 5);
    });
  });

  it('leaves out what lies beyond 2.3 radii', () => {
    const { rho, windows, nearest, least } = rhoAt([9.1, 0, 0], [9.3, 0, 0]);
    expect([...windows[0]!]).toEqual([0]);
    expect(rho[0]).toHaveLength(1);
    expect([...nearest]).toEqual([0, -1]);
    expect(least[1]).toBe(Number.POSITIVE_INFINITY);
  });

  it('names the nearest of several crowns', () => {
    const second: CrownFrame = { ...FRAME, tooth: 13, origin: [18, 20, 30] };
    const points = Float32Array.from([12, 20, 30, 16, 20, 30]);
    const { nearest, least } = crownPrior(points, [FRAME, second]);
    expect([...nearest]).toEqual([0, 1]);
    expect(least[0]).toBeCloseTo(0.5, 5);
    expect(least[1]).toBeCloseTo(2 / 3, 5);
  });
});
