// @vitest-environment node
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { buildPickTree } from '../../../src/app/view/pick-tree.ts';
import { makePicker } from '../../../src/app/view/picker.ts';
import type { Vec3 } from '../../../src/geometry/types.ts';

/** A wavy sheet over [0, 10] x [0, 10], and a second one 4 mm above its left half. */
const n = 20;
const height = (x: number, y: number): number => Math.sin(x) * Math.cos(y);
const points: number[] = [];
const corners: number[] = [];
for (const [lift, columns] of [
  [0, n],
  [4, n / 2],
] as const) {
  const base = points.length / 3;
  for (let r = 0; r <= n; r++)
    for (let c = 0; c <= columns; c++) points.push(c / 2, r / 2, lift + height(c / 2, r / 2));
  for (let r = 0; r < n; r++) {
    for (let c = 0; c < columns; c++) {
      const v = base + r * (columns + 1) + c;
      corners.push(v, v + 1, v + columns + 2, v, v + columns + 2, v + columns + 1);
    }
  }
}
const positions = Float32Array.from(points);
const triangles = Uint32Array.from(corners);
const picker = makePicker(positions, triangles, buildPickTree({ positions, triangles }));
const DOWN: Vec3 = [0, 0, -1];

/** Every triangle in turn (Moeller and Trumbore 1997, for a ray straight down: barycentric coordinates in the plane). */
function slowHit(x: number, y: number, from: number): { z: number; triangle: number } | null {
  let best: { z: number; triangle: number } | null = null;
  for (let t = 0; t < triangles.length / 3; t++) {
    const corner = (k: number): readonly [number, number, number] => {
      const v = 3 * triangles[3 * t + k]!;
      return [positions[v]!, positions[v + 1]!, positions[v + 2]!];
    };
    const [a, b, c] = [corner(0), corner(1), corner(2)];
    const area = (b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1]);
    const u = ((x - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (y - a[1])) / area;
    const v = ((b[0] - a[0]) * (y - a[1]) - (x - a[0]) * (b[1] - a[1])) / area;
    if (u < 0 || v < 0 || u + v > 1) continue;
    const z = a[2] + u * (b[2] - a[2]) + v * (c[2] - a[2]);
    if (z < from && (best === null || z > best.z)) best = { z, triangle: t };
  }
  return best;
}

describe('makePicker', () => {
  it('finds the same first triangle and place as looking at every triangle', () => {
    expect.hasAssertions();
    // Hundredths shifted by different amounts in x and y never lie on an edge or diagonal of the sheet.
    const hundredth = fc.integer({ min: 0, max: 998 });
    fc.assert(
      fc.property(hundredth, hundredth, (i, j) => {
        const [x, y] = [(i + 0.31) / 100, (j + 0.77) / 100];
        const slow = slowHit(x, y, 10)!;
        const hit = picker.hit([x, y, 10], DOWN)!;
        expect(hit.triangle).toBe(slow.triangle);
        expect(hit.point[2]).toBeCloseTo(slow.z, 4);
        expect(hit.distanceMm).toBeCloseTo(10 - slow.z, 4);
      }),
      { seed: 5, numRuns: 200 },
    );
  });

  it('keeps the triangle numbers of the scan', () => {
    for (const t of [0, 17, 399, 800, 1199]) {
      const [x, y, z] = [0, 1, 2].map(
        (k) => [0, 1, 2].reduce((s, c) => s + positions[3 * triangles[3 * t + c]! + k]!, 0) / 3,
      ) as [number, number, number];
      expect(picker.hit([x, y, z + 0.5], DOWN)!.triangle).toBe(t);
    }
  });

  it('passes through what is nearer than asked', () => {
    const above = picker.hit([2.2, 3.1, 10], DOWN)!;
    const below = picker.hit([2.2, 3.1, 10], DOWN, above.distanceMm + 0.1)!;
    expect(above.point[2] - below.point[2]).toBeCloseTo(4, 4);
  });

  it('answers null where there is nothing', () => {
    expect(picker.hit([-3, 5, 10], DOWN)).toBeNull();
    expect(picker.hit([5, 5, -10], DOWN)).toBeNull();
  });

  it('leaves the arrays of the page as they were', () => {
    expect([...triangles]).toEqual(corners);
  });
});
