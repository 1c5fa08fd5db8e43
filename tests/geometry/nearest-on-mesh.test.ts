import { describe, expect, it } from 'vitest';
import { nearestOnMesh } from '../../src/geometry/nearest-on-mesh.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { add, distance, scale } from '../../src/geometry/vec3.ts';
import { boxMesh, sphereMesh } from '../helpers/closed-meshes.ts';
import { seededRandom } from '../helpers/random.ts';

describe('nearestOnMesh', () => {
  it('gives the closed-form places on a box', () => {
    const mesh = boxMesh([0, 0, 0], [2, 2, 2]);
    const [face, edge, corner, inside, far] = nearestOnMesh(
      mesh,
      [
        [1.2, 0.4, 2.5],
        [3, 3, 1],
        [2.3, 2.4, 3.2],
        [1, 0.25, 1],
        [9, 9, 9],
      ],
      2,
    );
    expect(distance(face!.point, [1.2, 0.4, 2])).toBeLessThan(1e-12);
    expect(distance(edge!.point, [2, 2, 1])).toBeLessThan(1e-12);
    expect(distance(corner!.point, [2, 2, 2])).toBeLessThan(1e-12);
    expect(corner!.distanceMm).toBeCloseTo(1.3, 10);
    expect(inside!.distanceMm).toBeCloseTo(0.25, 10);
    expect(far).toBeNull();
  });

  it('looks at the triangles it is given and no others', () => {
    const mesh = boxMesh([0, 0, 0], [2, 2, 2]);
    const [all] = nearestOnMesh(mesh, [[1.2, 0.4, 2.5]], 5);
    const others = Array.from({ length: mesh.triangles.length / 3 }, (_, t) => t);
    others.splice(all!.triangle, 1);
    const [other] = nearestOnMesh(mesh, [[1.2, 0.4, 2.5]], 5, others);
    expect(other!.triangle).not.toBe(all!.triangle);
    expect(other!.distanceMm).toBeGreaterThan(all!.distanceMm);
  });

  it('agrees with dense sampling of every triangle', () => {
    const mesh = sphereMesh(2, 1);
    const random = seededRandom(4);
    const points = Array.from(
      { length: 20 },
      (): Vec3 => [6 * random() - 3, 6 * random() - 3, 6 * random() - 3],
    );
    const found = nearestOnMesh(mesh, points, 10);
    points.forEach((p, q) => {
      let least = Number.POSITIVE_INFINITY;
      for (let t = 0; t < mesh.triangles.length; t += 3) {
        const [a, b, c] = [0, 1, 2].map((k): Vec3 => {
          const v = 3 * mesh.triangles[t + k]!;
          return [mesh.positions[v]!, mesh.positions[v + 1]!, mesh.positions[v + 2]!];
        }) as [Vec3, Vec3, Vec3];
        for (let u = 0; u <= 40; u++) {
          for (let v = 0; v <= 40 - u; v++) {
            const sample = add(add(scale(a, u / 40), scale(b, v / 40)), scale(c, (40 - u - v) / 40));
            least = Math.min(least, distance(sample, p));
          }
        }
      }
      expect(found[q]!.distanceMm).toBeLessThanOrEqual(least + 1e-6);
      expect(found[q]!.distanceMm).toBeGreaterThan(least - 0.03);
    });
  });
});
