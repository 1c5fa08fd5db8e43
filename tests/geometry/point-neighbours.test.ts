import { describe, expect, it } from 'vitest';
import { pointNeighbours } from '../../src/geometry/point-neighbours.ts';
import { seededRandom } from '../../src/geometry/seeded-random.ts';

describe('pointNeighbours', () => {
  it('finds what looking at every pair finds, also at negative places', () => {
    const random = seededRandom(2);
    const points = Float64Array.from({ length: 3 * 120 }, () => 12 * random() - 6);
    const found = pointNeighbours(points, 2.5);
    const expected = found.map((_, i) =>
      Array.from({ length: 120 }, (_, j) => j).filter((j) => {
        const d = [0, 1, 2].map((k) => points[3 * j + k]! - points[3 * i + k]!);
        return j !== i && Math.hypot(...d) < 2.5;
      }),
    );
    expect(found.map((list) => [...list])).toEqual(expected);
    expect(expected.some((list) => list.length > 3)).toBe(true);
  });
});
