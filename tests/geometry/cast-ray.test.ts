import { describe, expect, it } from 'vitest';
import { castRay } from '../../src/geometry/cast-ray.ts';
import { indexSurface } from '../../src/geometry/surface-index.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { normalize } from '../../src/geometry/vec3.ts';
import { boxMesh, sphereMesh } from '../helpers/closed-meshes.ts';
import { seededRandom } from '../helpers/random.ts';

describe('castRay', () => {
  const box = indexSurface(boxMesh([0, 0, 0], [2, 2, 2]));

  it('meets a box where it must, from outside and inside', () => {
    expect(castRay(box, [-3, 0.5, 0.7], [1, 0, 0])).toMatchObject({ distanceMm: 3, point: [0, 0.5, 0.7] });
    expect(castRay(box, [1, 0.5, 0.7], [1, 0, 0])!.distanceMm).toBe(1);
    expect(castRay(box, [-3, 2.5, 0.7], [1, 0, 0])).toBeNull();
    expect(castRay(box, [-3, 0.5, 0.7], [-1, 0, 0])).toBeNull();
    expect(castRay(box, [-3, 0.5, 0.7], [1, 0, 0], 2.9)).toBeNull();
  });

  it('does not slip through the diagonal of a face nor along a box side', () => {
    expect(castRay(box, [-3, 1, 1], [1, 0, 0])!.distanceMm).toBe(3);
    expect(castRay(box, [0, 0, -1], [0, 0, 1])!.distanceMm).toBeCloseTo(1, 12);
    expect(castRay(box, [-1, 0, 2], [1, 0, 0])!.distanceMm).toBeCloseTo(1, 12);
  });

  it('meets a fine sphere at the closed-form distance within the sagitta, at every attempt', () => {
    const sphere = indexSurface(sphereMesh(3, 5));
    const random = seededRandom(3);
    for (let n = 0; n < 500; n += 1) {
      const o: Vec3 = [10 * random() - 5, 10 * random() - 5, -8];
      const d = normalize([random() - 0.5, random() - 0.5, 1.5]);
      const b = o[0] * d[0] + o[1] * d[1] + o[2] * d[2];
      const c = o[0] ** 2 + o[1] ** 2 + o[2] ** 2 - 9;
      const inner = b * b - c;
      const hit = castRay(sphere, o, d);
      if (inner > 0.3) {
        expect(Math.abs(hit!.distanceMm - (-b - Math.sqrt(inner)))).toBeLessThan(0.02);
      } else if (inner < 0) {
        expect(hit).toBeNull();
      }
    }
  });
});
