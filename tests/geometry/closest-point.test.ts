import { describe, expect, it } from 'vitest';
import { closestPoint } from '../../src/geometry/closest-point.ts';
import { indexSurface } from '../../src/geometry/surface-index.ts';
import { closestPointOnTriangle } from '../../src/geometry/triangle-distance.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { boxMesh, sphereMesh } from '../helpers/closed-meshes.ts';
import { seededRandom } from '../helpers/random.ts';

describe('closestPoint', () => {
  it('is the closed form for a box', () => {
    const surface = indexSurface(boxMesh([0, 0, 0], [2, 2, 2]));
    expect(closestPoint(surface, [1, 1, 3])).toMatchObject({ distanceMm: 1, point: [1, 1, 2] });
    expect(closestPoint(surface, [3, 4, 4])!.distanceMm).toBe(3);
    expect(closestPoint(surface, [1, 1, 0.25])!.distanceMm).toBe(0.25);
    expect(closestPoint(surface, [1, 1, 3], 0.9)).toBeNull();
  });

  it('equals the search over all triangles', () => {
    const mesh = sphereMesh(3, 3, [1, 2, 3]);
    const surface = indexSurface(mesh);
    const random = seededRandom(11);
    for (let n = 0; n < 200; n += 1) {
      const p: Vec3 = [8 * random() - 3, 8 * random() - 2, 8 * random() - 1];
      let least = Number.POSITIVE_INFINITY;
      for (let i = 0; i < surface.triangles.length; i += 1) {
        const t = surface.corners.slice(9 * i, 9 * i + 9);
        least = Math.min(least, closestPointOnTriangle(t, p[0], p[1], p[2], new Float64Array(3)));
      }
      expect(closestPoint(surface, p)!.distanceMm).toBe(Math.sqrt(least));
    }
  });
});
