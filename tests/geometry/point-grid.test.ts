import { describe, expect, it } from 'vitest';
import { makePointGrid } from '../../src/geometry/point-grid.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { distance, vertexAt } from '../../src/geometry/vec3.ts';
import { seededRandom } from '../helpers/random.ts';

describe('makePointGrid', () => {
  it('equals the search over all points, cut off at the reach', () => {
    const random = seededRandom(5);
    const points = Float64Array.from({ length: 900 }, () => 6 * random() - 3);
    const grid = makePointGrid(points, 0.4);
    let within = 0;
    for (let n = 0; n < 500; n += 1) {
      const p: Vec3 = [7 * random() - 3.5, 7 * random() - 3.5, 7 * random() - 3.5];
      let least = Number.POSITIVE_INFINITY;
      for (let i = 0; i < 300; i += 1) least = Math.min(least, distance(p, vertexAt(points, i)));
      expect(grid.distanceTo(p)).toBeCloseTo(Math.min(0.4, least), 12);
      expect(grid.isNear(...p)).toBe(grid.distanceTo(p) < 0.4);
      if (least < 0.4) within += 1;
    }
    expect(within).toBeGreaterThan(50);
    expect(makePointGrid([], 0.4).distanceTo([0, 0, 0])).toBe(0.4);
    expect(makePointGrid([], 0.4).isNear(0, 0, 0)).toBe(false);
  });
});
