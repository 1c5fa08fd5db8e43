import { describe, expect, it } from 'vitest';
import { averagePatches, nearestPatch } from '../../src/geometry/surface-patches.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { distance, vertexAt } from '../../src/geometry/vec3.ts';
import { seededRandom } from '../helpers/random.ts';

/** Points on the unit ball around the origin; their normals are the points. */
function ballPoints(count: number, radius: number, seed: number): { points: number[]; normals: number[] } {
  const random = seededRandom(seed);
  const points: number[] = [];
  const normals: number[] = [];
  for (let i = 0; i < count; i += 1) {
    const z = 2 * random() - 1;
    const angle = 2 * Math.PI * random();
    const r = Math.sqrt(1 - z * z);
    const n = [r * Math.cos(angle), r * Math.sin(angle), z];
    normals.push(...n);
    points.push(...n.map((x) => radius * x));
  }
  return { points, normals };
}

describe('averagePatches', () => {
  it('averages what lies in one cube, cube 0 about the origin', () => {
    const patches = averagePatches([0.1, 0, 0, -0.1, 0.2, 0, 0.9, 0, 0], [0, 0, 1, 0, 1, 0, 1, 0, 0], 0.5);
    expect(patches.count).toBe(2);
    expect(vertexAt(patches.points, 0)).toEqual([0, 0.1, 0]);
    const half = Math.SQRT1_2;
    for (const [k, x] of [0, half, half].entries()) expect(patches.normals[k]).toBeCloseTo(x, 12);
    expect(vertexAt(patches.points, 1)).toEqual([0.9, 0, 0]);
    expect(vertexAt(patches.normals, 1)).toEqual([1, 0, 0]);
  });

  it('loses no point, keeps every mean inside its cube, and lies on the ball but for its sag', () => {
    const { points, normals } = ballPoints(20_000, 4, 5);
    const cell = 0.4;
    const patches = averagePatches(points, normals, cell);
    // A cube's surface of 0.16 mm2 and more, of 201 mm2.
    expect(patches.count).toBeGreaterThan(1000);
    expect(patches.count).toBeLessThan(4000);
    for (let i = 0; i < patches.count; i += 1) {
      const p = vertexAt(patches.points, i);
      const radius = Math.hypot(...p);
      expect(radius).toBeLessThanOrEqual(4 + 1e-12);
      expect(radius).toBeGreaterThan(4 - (3 * cell ** 2) / (2 * 4));
      const n = vertexAt(patches.normals, i);
      expect(Math.hypot(...n)).toBeCloseTo(1, 12);
      expect(distance(n, p.map((x) => x / radius) as [number, number, number])).toBeLessThan(0.1);
    }
    const cubes = patches.cells.filter((patch) => patch >= 0);
    expect(new Set(cubes).size).toBe(patches.count);
    expect(cubes).toHaveLength(patches.count);
  });

  it('gives a normal of no direction where normals cancel, and larger cubes to a wide cloud', () => {
    const cancelled = averagePatches([0, 0, 0, 0.1, 0, 0], [0, 0, 1, 0, 0, -1], 0.5);
    expect(vertexAt(cancelled.normals, 0)).toEqual([0, 0, 0]);
    const wide = averagePatches([0, 0, 0, 1e4, 1e4, 1e4], [0, 0, 1, 0, 0, 1], 0.4);
    expect(wide.count).toBe(2);
    expect(wide.cellMm).toBeGreaterThan(50);
  });
});

describe('nearestPatch', () => {
  it('finds what a search through all patches finds', () => {
    const { points, normals } = ballPoints(3000, 3, 7);
    const patches = averagePatches(points, normals, 0.4);
    const random = seededRandom(11);
    let none = 0;
    for (let q = 0; q < 500; q += 1) {
      const p: Vec3 = [0, 0, 0].map(() => 10 * random() - 5) as unknown as Vec3;
      let best = -1;
      let least = 1.2;
      for (let i = 0; i < patches.count; i += 1) {
        const d = distance(p, vertexAt(patches.points, i));
        if (d < least) [best, least] = [i, d];
      }
      expect(nearestPatch(patches, ...p, 1.2)).toBe(best);
      if (best === -1) none += 1;
    }
    expect(none).toBeGreaterThan(50);
    expect(none).toBeLessThan(450);
  });
});
