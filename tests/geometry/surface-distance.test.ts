import fc from 'fast-check';
import Module from 'manifold-3d';
import { describe, expect, it } from 'vitest';
import { movePoint, movePositions, rotationAbout } from '../../src/geometry/rigid.ts';
import {
  closestBetween,
  closestPoint,
  closestWithin,
  indexSurface,
} from '../../src/geometry/surface-distance.ts';
import type { TriangleMesh, Vec3 } from '../../src/geometry/types.ts';
import { distance } from '../../src/geometry/vec3.ts';
import { bruteDistance } from '../helpers/brute-distance.ts';
import { boxMesh, capsuleMesh, sphereMesh } from '../helpers/closed-meshes.ts';
import { seededRandom } from '../helpers/random.ts';

const between = (a: TriangleMesh, b: TriangleMesh) => closestBetween(indexSurface(a), indexSurface(b));
const moved = (m: TriangleMesh, motion: Parameters<typeof movePositions>[0]): TriangleMesh => ({
  positions: movePositions(motion, m.positions),
  triangles: m.triangles,
});

/** Rounding of 32-bit coordinates of some ten millimetres, both surfaces. */
const FLOAT32_MM = 4e-6;

function randomMotion(random: () => number, reach: number) {
  const axis: Vec3 = [random() - 0.5, random() - 0.5, random() - 0.5];
  const shift: Vec3 = [reach * random(), reach * random(), reach * random()];
  return rotationAbout([0, 0, 0], axis, 6 * random(), shift);
}

describe('closestBetween, closed forms', () => {
  const box = boxMesh([0, 0, 0], [2, 2, 2]);

  it('boxes face to face, edge to edge, corner to corner', () => {
    expect(between(box, boxMesh([2.25, 0.5, 0.5], [4, 1.5, 1.5])).distanceMm).toBe(0.25);
    expect(between(box, boxMesh([2.3, 2.4, 0], [4, 4, 2])).distanceMm).toBeCloseTo(0.5, 6);
    expect(between(box, boxMesh([2.2, 2.3, 2.6], [4, 4, 4])).distanceMm).toBeCloseTo(0.7, 6);
  });

  it('crossing edges of two turned bars, where every vertex is far', () => {
    // a square bar along x stands on its edge; another along y stands on its edge above it
    const bar = boxMesh([-10, -1, -1], [10, 1, 1]);
    const onEdge = rotationAbout([0, 0, 0], [1, 0, 0], Math.PI / 4);
    const across = rotationAbout([0, 0, 0], [0, 0, 1], Math.PI / 2, [0.3, 0.2, 2 * Math.SQRT2 + 0.15]);
    const a = moved(bar, onEdge);
    const b = moved(a, across);
    const pair = between(a, b);
    expect(Math.abs(pair.distanceMm - 0.15)).toBeLessThan(FLOAT32_MM);
    expect(distance(pair.a, [0.3, 0, Math.SQRT2])).toBeLessThan(1e-5);
    // vertex queries alone say more than 8 mm
    const surface = indexSurface(b);
    for (let v = 0; v < 8; v += 1) {
      const p: Vec3 = [a.positions[3 * v]!, a.positions[3 * v + 1]!, a.positions[3 * v + 2]!];
      expect(closestPoint(surface, p)!.distanceMm).toBeGreaterThan(8);
    }
  });

  it('spheres and capsules, within the sagitta of their facets', () => {
    const fine = sphereMesh(4, 5);
    // longest edge of a five times divided icosahedron of radius 4 is under 0.17 mm: sagitta l^2/(8 r) per surface
    const sagitta = 2 * (0.17 ** 2 / (8 * 4));
    const far = moved(fine, rotationAbout([0, 0, 0], [1, 2, 3], 0.7, [5, 6, 2]));
    const exact = Math.hypot(5, 6, 2) - 8;
    const pair = between(fine, far);
    expect(pair.distanceMm).toBeGreaterThanOrEqual(exact - FLOAT32_MM);
    expect(pair.distanceMm).toBeLessThan(exact + sagitta);
    const capsule = capsuleMesh(1, 6, 5);
    const turned = moved(capsule, rotationAbout([0, 0, 0], [1, 0, 0], Math.PI / 2, [2.4, 0, 1]));
    const apart = between(capsule, turned).distanceMm;
    expect(apart).toBeGreaterThanOrEqual(0.4 - FLOAT32_MM);
    expect(apart).toBeLessThan(0.4 + 2 * (0.05 ** 2 / 8));
  });

  it('surfaces that run through each other have distance zero', () => {
    expect(between(box, boxMesh([1, 1, 1], [3, 3, 3])).distanceMm).toBe(0);
  });
});

describe('closestBetween against other computations', () => {
  const meshes = (seed: number, levels = 2): [TriangleMesh, TriangleMesh] => {
    const random = seededRandom(seed);
    const shapes = [
      boxMesh([-1, -0.4, -2], [1, 0.4, 2]),
      sphereMesh(1.5, levels),
      capsuleMesh(0.6, 2, levels),
    ];
    const a = moved(shapes[seed % 3]!, randomMotion(random, 2));
    const b = moved(shapes[Math.floor(random() * 3)]!, randomMotion(random, 5));
    return [a, b];
  };

  it('equals the slow twin on 24 random pairs of closed meshes', () => {
    let apart = 0;
    for (let seed = 0; seed < 24; seed += 1) {
      const [a, b] = meshes(seed, 1);
      const pair = between(a, b);
      expect(Math.abs(pair.distanceMm - bruteDistance(a, b))).toBeLessThan(1e-12);
      expect(Math.abs(distance(pair.a, pair.b) - pair.distanceMm)).toBeLessThan(1e-12);
      if (pair.distanceMm > 0) apart += 1;
    }
    expect(apart).toBeGreaterThan(10);
  });

  it('agrees with the minimum gap of the general-purpose library manifold-3d', async () => {
    const wasm = await Module();
    wasm.setup();
    const solid = (m: TriangleMesh) =>
      new wasm.Manifold(new wasm.Mesh({ numProp: 3, vertProperties: m.positions, triVerts: m.triangles }));
    let apart = 0;
    for (let seed = 100; seed < 160; seed += 1) {
      const [a, b] = meshes(seed);
      const reach = 20;
      const sa = solid(a);
      const sb = solid(b);
      const theirs = sa.minGap(sb, reach);
      // They count an enclosed or overlapping body as 0; so do we when the surfaces meet.
      const ours = between(a, b).distanceMm;
      expect(Math.abs(ours - theirs)).toBeLessThan(2e-5);
      if (ours > 0) apart += 1;
      sa.delete();
      sb.delete();
    }
    expect(apart).toBeGreaterThan(20);
  });
});

describe('closestBetween, invariance and limits', () => {
  it('a rigid motion of both changes nothing; moving B by an option equals moving its vertices', () => {
    const a = capsuleMesh(1, 3, 3);
    const b = sphereMesh(1.2, 3, [2.5, 0.4, 0.8]);
    const start = between(a, b).distanceMm;
    const angle = fc.double({ min: -3, max: 3, noNaN: true });
    const step = fc.double({ min: -30, max: 30, noNaN: true });
    fc.assert(
      fc.property(angle, fc.tuple(step, step, step), fc.tuple(step, step, step), (turn, axis, shift) => {
        fc.pre(Math.hypot(...axis) > 0.1);
        const motion = rotationAbout([0, 0, 0], axis, turn, shift);
        const both = between(moved(a, motion), moved(b, motion)).distanceMm;
        expect(Math.abs(both - start)).toBeLessThan(4 * FLOAT32_MM);
        const byOption = closestBetween(indexSurface(a), indexSurface(b), { motionOfB: motion });
        const byVertices = between(a, moved(b, motion)).distanceMm;
        expect(Math.abs(byOption.distanceMm - byVertices)).toBeLessThan(4 * FLOAT32_MM);
      }),
      { seed: 7, numRuns: 40 },
    );
    expect(movePoint(rotationAbout([0, 0, 0], [0, 0, 1], Math.PI / 2), [1, 0, 0])[1]).toBeCloseTo(1, 12);
  });

  it('answers with triangle numbers of the mesh, also for a subset', () => {
    const a = boxMesh([0, 0, 0], [1, 1, 1]);
    const b = boxMesh([2, 0, 0], [3, 1, 1]);
    const subset = Uint32Array.from([2, 3]);
    const pair = closestBetween(indexSurface(a, subset), indexSurface(b));
    expect([2, 3]).toContain(pair.triangleA);
    expect(pair.distanceMm).toBe(1);
    const away = closestBetween(indexSurface(a, Uint32Array.from([0, 1])), indexSurface(b));
    expect(away.distanceMm).toBe(2);
  });

  it('leaves the index of the mesh as it was', () => {
    const a = sphereMesh(2, 3);
    const before = Uint32Array.from(a.triangles);
    indexSurface(a);
    expect(a.triangles).toEqual(before);
  });

  it('says when nothing is within reach, and refuses an empty surface and a NaN', () => {
    const a = boxMesh([0, 0, 0], [1, 1, 1]);
    const b = boxMesh([2, 0, 0], [3, 1, 1]);
    expect(closestWithin(indexSurface(a), indexSurface(b), 0.99)).toBeNull();
    expect(closestWithin(indexSurface(a), indexSurface(b), 1.01)?.distanceMm).toBe(1);
    expect(() => indexSurface(a, new Uint32Array(0))).toThrow(RangeError);
    const bad = { positions: Float32Array.from(a.positions), triangles: a.triangles };
    bad.positions[5] = Number.NaN;
    expect(() => indexSurface(bad)).toThrow(/no finite coordinate/);
  });
});
