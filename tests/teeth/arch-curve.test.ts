import { describe, expect, it } from 'vitest';
import type { Vec3 } from '../../src/geometry/types.ts';
import { distance, dot } from '../../src/geometry/vec3.ts';
import { archTangentAt, fitArchCurve, sampleArchCurve } from '../../src/teeth/arch-curve.ts';
import type { OcclusalFrame } from '../../src/teeth/types.ts';

const FRAME: OcclusalFrame = { origin: [0, 0, 0], x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1] };

/** n places on a circle of radius R, from the right (-x) over the front to the left. */
function circle(n: number, radius: number, from = Math.PI, to = 0): Vec3[] {
  return Array.from({ length: n }, (_, k) => {
    const angle = from + ((to - from) * k) / (n - 1);
    return [radius * Math.cos(angle), radius * Math.sin(angle), 0];
  });
}

describe('arch curve', () => {
  it('stays on a straight row and points along it', () => {
    const row: Vec3[] = [0, 6, 13, 22].map((s) => [0.6 * s, 0.8 * s, 0]);
    const curve = fitArchCurve(FRAME, row);
    for (const p of row) {
      const t = archTangentAt(curve, [p[0], p[1], 5]);
      expect(dot(t, [0.6, 0.8, 0])).toBeCloseTo(1, 10);
    }
    const points = sampleArchCurve(curve, 12);
    for (const p of points) expect(Math.abs(0.8 * p[0] - 0.6 * p[1])).toBeLessThan(1e-9);
    expect(distance(points[0]!, row[0]!)).toBeLessThan(1e-9);
    expect(distance(points.at(-1)!, row.at(-1)!)).toBeLessThan(1e-9);
  });

  // A textbook arch is no sharper than a circle of 25 mm; the tangent of a circle is known everywhere.
  it('has the tangent of a circle within 2 degrees away from the ends, and stays within 0.4 mm of it', () => {
    const centres = circle(14, 25);
    const curve = fitArchCurve(FRAME, centres);
    for (const p of centres.slice(2, -2)) {
      const t = archTangentAt(curve, [1.1 * p[0], 1.1 * p[1], -3]);
      const along: Vec3 = [p[1] / 25, -p[0] / 25, 0];
      expect(Math.acos(Math.min(1, dot(t, along)))).toBeLessThan((2 * Math.PI) / 180);
    }
    for (const p of sampleArchCurve(curve, 80))
      expect(Math.abs(Math.hypot(p[0], p[1]) - 25)).toBeLessThan(0.4);
  });

  it('takes most of a side-to-side step of one crowded tooth out of the tangent', () => {
    const centres = Array.from({ length: 9 }, (_, k): Vec3 => [6 * k, k === 4 ? 2 : 0, 0]);
    const curve = fitArchCurve(FRAME, centres);
    const t = archTangentAt(curve, [21, 1, 0]);
    const chord = Math.atan2(2, 6);
    expect(Math.atan2(t[1], t[0])).toBeGreaterThan(0);
    expect(Math.atan2(t[1], t[0])).toBeLessThan(0.6 * chord);
  });

  it('keeps the tangent in the occlusal plane and of unit length', () => {
    const centres = circle(8, 25).map(([x, y], k): Vec3 => [x, y, Math.sin(k)]);
    const t = archTangentAt(fitArchCurve(FRAME, centres), [3, 20, 2]);
    expect(t[2]).toBe(0);
    expect(Math.hypot(...t)).toBeCloseTo(1, 12);
  });

  it('answers for two teeth and for one', () => {
    const two = fitArchCurve(FRAME, [
      [1, 1, 0],
      [1, 7, 0],
    ]);
    expect(archTangentAt(two, [0, 3, 0])).toEqual([0, 1, 0]);
    const one = fitArchCurve(FRAME, [[4, 5, 6]]);
    expect(archTangentAt(one, [0, 0, 0])).toEqual([1, 0, 0]);
    expect(sampleArchCurve(one, 2)[0]).toEqual([4, 5, 6]);
  });

  it('does not stumble over two centres at one place', () => {
    const curve = fitArchCurve(FRAME, [
      [0, 0, 0],
      [5, 0, 0],
      [5, 0, 0],
      [11, 0, 0],
    ]);
    expect(archTangentAt(curve, [5, 0, 0])[0]).toBeCloseTo(1, 12);
  });
});
