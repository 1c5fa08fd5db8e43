import { describe, expect, it } from 'vitest';
import type { PatchError, WallPatch } from '../../src/contacts/fit-patch.ts';
import { patchDistance, patchDistanceError } from '../../src/contacts/patch-distance.ts';

/** z = z0 + a u + b v + k/2 (u^2 + v^2) over a window of 1 mm. */
function wall(z0: number, a: number, b: number, k: number): WallPatch {
  return { degree: 2, radiusMm: 1, coefficients: Float64Array.from([z0, a, b, k / 2, 0, k / 2]), points: 50 };
}

describe('patchDistance', () => {
  it('two parallel-tipped bowls: the gap on the axis', () => {
    const found = patchDistance(wall(-0.2, 0, 0, -0.3), wall(0.15, 0, 0, 0.4));
    expect(found.distanceMm).toBeCloseTo(0.35, 9);
    expect(Math.hypot(...found.uvA, ...found.uvB)).toBeLessThan(1e-5);
  });

  it('tilted planes against a bowl: the closed form distance of a paraboloid to a plane', () => {
    // plane z = s u (A) under the paraboloid z = h + k/2 r^2 (B): nearest where the slope is s, at u = s/k
    const [s, h, k] = [0.2, 0.4, 0.5];
    const found = patchDistance(wall(0, s, 0, 0), wall(h, 0, 0, k));
    const u = s / k;
    const expected = (h + (k / 2) * u * u - s * u) / Math.hypot(1, s);
    expect(found.distanceMm).toBeCloseTo(expected, 8);
    expect(found.uvB[0]).toBeCloseTo(u, 5);
  });

  it('has a sign when the walls have run through each other, and no jump on the way', () => {
    const at = (z0: number) => patchDistance(wall(0, 0, 0, -0.3), wall(z0, 0.02, 0, 0.4)).distanceMm;
    expect(at(-0.05)).toBeLessThan(-0.049);
    let before = at(-0.06);
    for (let z = -0.059; z < 0.06; z += 0.001) {
      const now = at(z);
      expect(now - before).toBeGreaterThan(0.0005);
      expect(now - before).toBeLessThan(0.0015);
      before = now;
    }
  });

  it('stops at the edge of the window when the walls still close there', () => {
    const found = patchDistance(wall(0, 0, 0, 0), wall(0.5, -0.3, 0, 0));
    expect(Math.hypot(...found.uvB)).toBeCloseTo(1, 6);
  });
});

describe('patchDistanceError', () => {
  const error = (height: number, slope: number): PatchError => {
    const covariance = new Float64Array(36);
    covariance[0] = height;
    covariance[7] = slope;
    covariance[14] = slope;
    return { covariance, residualMm: 0.01, inflation: 1 };
  };

  it('adds the variances of both walls at the feet', () => {
    const [a, b] = [wall(0, 0, 0, -0.3), wall(0.3, 0, 0, 0.3)];
    const found = patchDistance(a, b);
    expect(patchDistanceError(a, b, error(9e-6, 0), error(16e-6, 0), found)).toMatchObject({ biasMm: 0 });
    expect(patchDistanceError(a, b, error(9e-6, 0), error(16e-6, 0), found).fitMm).toBeCloseTo(0.005, 9);
  });

  it('bias of a minimum: closed form for a flat wall under a bowl', () => {
    // Only B's slopes are uncertain (variance q each). With A flat the smallest distance is min over (u, v) of B;
    // a slope error d lowers it by d^2 / (2 k) in each direction: expected loss q / k.
    const k = 0.4;
    const q = 1e-4;
    const [a, b] = [wall(0, 0, 0, 0), wall(0.3, 0, 0, k)];
    const { biasMm } = patchDistanceError(a, b, error(0, 0), error(1, q), patchDistance(a, b));
    // The Hessian in four parameters has the eigenvalues of A's flat side floored, which changes the sum a little.
    expect(biasMm / (q / k)).toBeGreaterThan(0.7);
    expect(biasMm / (q / k)).toBeLessThan(1.3);
    const capped = patchDistanceError(a, b, error(0, 0), error(1e-12, q), patchDistance(a, b));
    expect(capped.biasMm).toBeCloseTo(1e-6, 9);
  });
});
