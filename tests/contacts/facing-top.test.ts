import { expect, test } from 'vitest';
import { facingTop, meanAbove } from '../../src/contacts/facing-top.ts';
import { seededRandom } from '../../src/geometry/seeded-random.ts';

/** Points of a sphere of 4 mm about the origin, with their normals. */
function sphere(count: number) {
  const random = seededRandom(5);
  const points = new Float64Array(3 * count);
  const normals = new Float64Array(3 * count);
  for (let i = 0; i < count; i++) {
    const z = 2 * random() - 1;
    const turn = 2 * Math.PI * random();
    const across = Math.sqrt(1 - z * z);
    const n = [across * Math.cos(turn), across * Math.sin(turn), z];
    for (let c = 0; c < 3; c++) {
      normals[3 * i + c] = n[c]!;
      points[3 * i + c] = 4 * n[c]!;
    }
  }
  return { points, normals };
}

test('the points down to the depth below the anchor, the farthest out first', () => {
  const { points, normals } = sphere(2000);
  const { points: top, heights } = facingTop({ points, normals }, [0, 0, 1], 36, 0.5);
  // Slow twin: objects, sorted.
  const all = Array.from({ length: 2000 }, (_, i) => [...points.subarray(3 * i, 3 * i + 3)]);
  const sorted = all.sort((p, q) => q[2]! - p[2]!);
  const wanted = sorted.filter((p) => p[2]! > sorted[36]![2]! - 0.5);
  expect(heights.length).toBe(wanted.length);
  expect(wanted.length).toBeGreaterThan(36);
  expect([...top]).toEqual(wanted.flat());
  expect([...heights]).toEqual(wanted.map((p) => p[2]!));
});

test('points that face away are none of it, and without any there is nothing', () => {
  const { points, normals } = sphere(500);
  const inwards = normals.map((n) => -n);
  expect(facingTop({ points, normals: inwards }, [0, 0, 1], 36, 20).heights.every((z) => z < 0)).toBe(true);
  const down = Float64Array.from(normals, (_, i) => (i % 3 === 2 ? -1 : 0));
  expect(facingTop({ points, normals: down }, [0, 0, 1], 36, 20).heights.length).toBe(0);
});

test('the mean of the points above a height; not a number where there is none', () => {
  const heights = Float64Array.of(3, 2, 1);
  const points = Float64Array.of(0, 0, 3, 2, 0, 2, 9, 9, 1);
  expect(meanAbove({ points, heights }, 1)).toEqual([1, 0, 2.5]);
  expect(meanAbove({ points, heights }, 3)).toEqual([Number.NaN, Number.NaN, Number.NaN]);
});
