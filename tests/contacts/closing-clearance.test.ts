import { describe, expect, it } from 'vitest';
import { rayClearance } from '../../src/contacts/closing-clearance.ts';
import { castRay, indexSurface } from '../../src/geometry/surface-distance.ts';
import type { TriangleMesh, Vec3 } from '../../src/geometry/types.ts';
import { addScaled, vertexAt } from '../../src/geometry/vec3.ts';
import { boxMesh, sphereMesh } from '../helpers/closed-meshes.ts';

const clearance = (a: TriangleMesh, b: TriangleMesh, t: Vec3) =>
  rayClearance(a.positions, indexSurface(a), b.positions, indexSurface(b), t);

describe('rayClearance', () => {
  it('two spheres off axis: closed form', () => {
    // radius 3 each, centres 7 apart along x and 2 along y: closing along x meets where the chord is
    const a = sphereMesh(3, 5);
    const b = sphereMesh(3, 5, [7, 2, 0]);
    const expected = 7 - Math.sqrt(36 - 4);
    const found = clearance(a, b, [1, 0, 0])!;
    // sagitta of facets with 0.13 mm edges, twice, seen at an angle
    expect(found.clearanceMm).toBeGreaterThan(expected - 1e-5);
    expect(found.clearanceMm).toBeLessThan(expected + 0.004);
    expect(found.pointA[1]).toBeCloseTo(1, 0);
    expect(found.pointA[1]).toBeCloseTo(found.pointB[1], 5);
  });

  it('is signed: overlap along the direction is negative', () => {
    const box = boxMesh([0, 0, 0], [2, 2, 2]);
    expect(clearance(box, boxMesh([2.4, 0.5, 0.5], [4, 1.5, 1.5]), [1, 0, 0])!.clearanceMm).toBeCloseTo(
      0.4,
      6,
    );
    expect(clearance(box, boxMesh([1.7, 0.5, 0.5], [4, 1.5, 1.5]), [1, 0, 0])!.clearanceMm).toBeCloseTo(
      -0.3,
      6,
    );
  });

  it('needs rays from both sides: a spike is met by the other wall only', () => {
    // B is a small box in front of the middle of a large face of A, away from all vertices of A
    const a = boxMesh([0, -9, -9], [1, 9, 9]);
    const b = boxMesh([1.5, -0.2, -0.2], [2, 0.2, 0.2]);
    expect(clearance(a, b, [1, 0, 0])!.clearanceMm).toBeCloseTo(0.5, 6);
    expect(clearance(b, a, [-1, 0, 0])!.clearanceMm).toBeCloseTo(0.5, 6);
    expect(clearance(a, boxMesh([1.5, 10, 10], [2, 11, 11]), [1, 0, 0])).toBeNull();
  });

  it('equals casting every ray', () => {
    const a = sphereMesh(2, 3);
    const b = sphereMesh(1.5, 3, [4.1, 0.3, -0.4]);
    const t: Vec3 = [0.96, 0.28, 0];
    let least = Number.POSITIVE_INFINITY;
    for (const [from, to, s] of [
      [a, b, 1],
      [b, a, -1],
    ] as const) {
      const surface = indexSurface(to);
      for (let v = 0; v < from.positions.length / 3; v += 1) {
        const d: Vec3 = [s * t[0], s * t[1], s * t[2]];
        const hit = castRay(surface, addScaled(vertexAt(from.positions, v), d, -1), d);
        if (hit !== null) least = Math.min(least, hit.distanceMm - 1);
      }
    }
    expect(clearance(a, b, t)!.clearanceMm).toBeCloseTo(least, 12);
  });
});
