import { describe, expect, it } from 'vitest';
import type { SurfaceGraph } from '../../src/geometry/graph-surface.ts';
import { borderWeights, crownEnergy } from '../../src/teeth/crown-energy.ts';

function pair(curvature: number): SurfaceGraph {
  return {
    nodeCount: 2,
    start: Uint32Array.of(0, 1, 2),
    target: Uint32Array.of(1, 0),
    lengthMm: Float32Array.of(2, 2),
    curvature: Float32Array.of(curvature, curvature),
    rimMm: Float32Array.of(0, 4),
    area: Float32Array.of(3, 5),
    centroid: new Float32Array(6),
  };
}

describe('borderWeights', () => {
  const weight = (curvature: number, lateral: number): number =>
    borderWeights(pair(curvature), Float32Array.of(lateral, lateral))[0]!;

  it('costs the full length on flat and convex ground and little in a fold', () => {
    expect(weight(0, 1)).toBeCloseTo(2, 6);
    expect(weight(3, 1)).toBeCloseTo(2, 6);
    expect(weight(-0.5, 1)).toBeCloseTo(2 * (0.01 + 0.99 / Math.E), 5);
    expect(weight(-50, 1)).toBeCloseTo(0.02, 6);
  });

  it('costs less in a deep fold whose both sides lie beside a web', () => {
    const beside = (...atWeb: number[]) =>
      borderWeights(pair(-50), Float32Array.of(1, 1), Uint8Array.from(atWeb))[0]!;
    expect(beside(1, 1)).toBeCloseTo(2 * 0.003, 6);
    for (const one of [beside(1, 0), beside(0, 1), beside(0, 0)]) expect(one).toBeCloseTo(0.02, 6);
    // Flat ground is as dear there as anywhere.
    expect(borderWeights(pair(0), Float32Array.of(1, 1), Uint8Array.of(1, 1))[0]).toBeCloseTo(2, 6);
  });

  it('does not see a fissure near the axis of a crown', () => {
    expect(weight(-2, 0.4)).toBeCloseTo(2, 6);
    expect(weight(-2, 0.575)).toBeCloseTo(2 * (0.01 + 0.99 * Math.exp(-2)), 5);
    expect(weight(-2, Number.POSITIVE_INFINITY)).toBeCloseTo(2 * (0.01 + 0.99 * Math.exp(-4)), 5);
  });
});

describe('crownEnergy', () => {
  it('weighs the cube of rho, capped, against the gum by area', () => {
    const prior = {
      rho: [Float32Array.of(0.5, 2), Float32Array.of(1)],
      windows: [Int32Array.of(0, 1), Int32Array.of(1)],
      lateral: Float32Array.of(1, 1),
      nearest: Int16Array.of(0, 1),
      least: Float32Array.of(0.5, 1),
    };
    const problem = crownEnergy(pair(0), prior, new Uint8Array(2));
    expect(problem.labelCount).toBe(3);
    // Node 0 lies within the crown, where gum costs more; node 1 has 4 mm of the scan's rim.
    const expected = [
      0.03 * (1 + 4 * (1 - 0.5 / 0.85)),
      0.05,
      0.00375,
      4.125,
      Number.POSITIVE_INFINITY,
      4.05,
    ];
    expected.forEach((value, k) => {
      expect(problem.unary[k]).toBeCloseTo(value, 6);
    });
    const square = crownEnergy(pair(0), prior, new Uint8Array(2), 2).unary;
    expect([square[1], square[2]]).toEqual([problem.unary[1], expect.closeTo(0.0075, 6)]);
    expect(problem.windows.map((window) => [...window])).toEqual([[0, 1], [0, 1], [1]]);
  });
});
