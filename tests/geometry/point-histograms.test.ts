import { describe, expect, it } from 'vitest';
import type { OrientedPoints } from '../../src/geometry/oriented-points.ts';
import { HISTOGRAM_LENGTH, pointHistograms } from '../../src/geometry/point-histograms.ts';
import { movePoint, rotateDirection, rotationAbout } from '../../src/geometry/rigid.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { normalize, vertexAt } from '../../src/geometry/vec3.ts';

/** A patch without symmetry: z = f(x, y) on a grid. */
function patch(change: (p: Vec3) => Vec3 = (p) => p): OrientedPoints {
  const points: number[] = [];
  const normals: number[] = [];
  for (let x = -4; x <= 4; x += 0.5) {
    for (let y = -4; y <= 4; y += 0.5) {
      const z = 0.1 * x * x + 0.03 * x * y + 0.02 * y ** 3;
      points.push(...change([x, y, z]));
      normals.push(...change(normalize([-0.2 * x - 0.03 * y, -0.03 * x - 0.06 * y * y, 1])));
    }
  }
  return { points: Float64Array.from(points), normals: Float64Array.from(normals) };
}

function difference(a: Float32Array, b: Float32Array): number {
  return Math.max(...a.map((value, k) => Math.abs(value - b[k]!)));
}

describe('pointHistograms', () => {
  const here = patch();
  const histograms = pointHistograms(here, 2);

  it('does not change under a rigid motion', () => {
    const motion = rotationAbout([1, 2, 3], [1, -2, 0.5], 1.1, [20, -7, 4]);
    const each = (values: Float64Array, change: (v: Vec3) => Vec3) =>
      Float64Array.from(
        Array.from({ length: values.length / 3 }, (_, i) => change(vertexAt(values, i))).flat(),
      );
    const other = pointHistograms(
      {
        points: each(here.points, (p) => movePoint(motion, p)),
        normals: each(here.normals, (n) => rotateDirection(motion, n)),
      },
      2,
    );
    // Angles that fall on the border of two bins may fall to either side.
    const apart = histograms.filter((value, k) => Math.abs(value - other[k]!) > 0.02).length;
    expect(apart / histograms.length).toBeLessThan(0.01);
  });

  it('tells a shape from its mirror image', () => {
    const mirror = pointHistograms(
      patch(([x, y, z]) => [-x, y, z]),
      2,
    );
    expect(difference(histograms, mirror)).toBeGreaterThan(0.1);
  });

  it('sums to one per angle, and to nothing without neighbours', () => {
    const at = 100 * HISTOGRAM_LENGTH;
    for (let part = 0; part < 3; part += 1) {
      const from = at + (part * HISTOGRAM_LENGTH) / 3;
      const sum = histograms.subarray(from, from + HISTOGRAM_LENGTH / 3).reduce((s, x) => s + x, 0);
      expect(sum).toBeCloseTo(1, 5);
    }
    const lonely = { points: Float64Array.of(0, 0, 0, 9, 9, 9), normals: Float64Array.of(0, 0, 1, 0, 0, 1) };
    expect(pointHistograms(lonely, 2).every((value) => value === 0)).toBe(true);
  });
});
