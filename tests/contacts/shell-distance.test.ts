import { describe, expect, it } from 'vitest';
import { areaWithin, shareBelow } from '../../src/contacts/contact-area.ts';
import { shellDistance } from '../../src/contacts/shell-distance.ts';
import { movePositions, rotationAbout } from '../../src/geometry/rigid.ts';
import { indexSurface } from '../../src/geometry/surface-distance.ts';
import type { TriangleMesh, Vec3 } from '../../src/geometry/types.ts';
import { distance } from '../../src/geometry/vec3.ts';
import { boxMesh, sphereMesh } from '../helpers/closed-meshes.ts';

const between = (a: TriangleMesh, b: TriangleMesh) => shellDistance(indexSurface(a), indexSurface(b));

describe('shellDistance', () => {
  it('spheres apart, touching and overlapping: closed forms within the facets', () => {
    const a = sphereMesh(3, 4);
    for (const apart of [0.4, 0.05, -0.1, -0.5]) {
      const b = sphereMesh(2, 4, [5 + apart, 0, 0]);
      const { signedMm, pointA, pointB } = between(a, b);
      expect(Math.abs(signedMm - apart)).toBeLessThan(0.02);
      expect(distance(pointA, pointB)).toBeCloseTo(Math.abs(signedMm), 6);
      expect(Math.abs(pointA[1]) + Math.abs(pointA[2])).toBeLessThan(0.6);
    }
  });

  it('takes the deeper of both ways: a corner inside a face', () => {
    const big = boxMesh([0, -4, -4], [4, 4, 4]);
    const cube = boxMesh([-1, -1, -1], [1, 1, 1]);
    // stand the cube on its corner, pushed 0.3 mm through the face x = 0 from outside
    const onCorner = rotationAbout([0, 0, 0], [0, -1, 1], Math.acos(1 / Math.sqrt(3)), [
      -Math.sqrt(3) + 0.3,
      0,
      0,
    ]);
    const b = { positions: movePositions(onCorner, cube.positions), triangles: cube.triangles };
    const found = between(big, b);
    expect(found.signedMm).toBeCloseTo(-0.3, 5);
    expect(found.depthBInAMm).toBeCloseTo(0.3, 5);
    expect(found.depthAInBMm).toBe(0);
    expect(found.pointB[0]).toBeCloseTo(0.3, 5);
    expect(found.pointA[0]).toBeCloseTo(0, 5);
    expect(between(b, big).signedMm).toBeCloseTo(-0.3, 5);
  });

  it('bars that cross without a corner in each other overlap, how deep is not known; bars that touch do not', () => {
    const along = boxMesh([-5, -1, -1], [5, 1, 1]);
    const across = (z: number) => boxMesh([-1, -5, z], [1, 5, z + 2]);
    expect(between(along, across(0.4))).toMatchObject({ isCrossing: true, depthAInBMm: 0, depthBInAMm: 0 });
    expect(between(across(0.4), along).isCrossing).toBe(true);
    expect(between(along, across(1))).toMatchObject({ isCrossing: false, signedMm: 0 });
    expect(between(along, across(1.3)).isCrossing).toBe(false);
    expect(between(along, across(1.3)).signedMm).toBeCloseTo(0.3, 6);
    expect(between(sphereMesh(3, 3), sphereMesh(2, 3, [4.8, 0, 0])).isCrossing).toBe(false);
  });

  it('a shell inside the other is an overlap, not a distance', () => {
    const { signedMm } = between(boxMesh([0, 0, 0], [9, 9, 9]), boxMesh([1, 4, 4], [2, 5, 5]));
    expect(signedMm).toBeCloseTo(-2, 6);
  });
});

describe('areaWithin', () => {
  it('share of a triangle below a level, closed forms', () => {
    expect(shareBelow([0, 1, 2], -0.1)).toBe(0);
    expect(shareBelow([0, 1, 2], 3)).toBe(1);
    expect(shareBelow([2, 0, 1], 1)).toBeCloseTo(0.5, 12);
    expect(shareBelow([0, 0, 1], 0.5)).toBeCloseTo(0.75, 12);
    expect(shareBelow([0, 1, 1], 0.5)).toBeCloseTo(0.25, 12);
    expect(shareBelow([0.3, 0.3, 0.3], 0.3)).toBe(1);
  });

  it('cap of a sphere near a plane: 2 pi r h', () => {
    const r = 3;
    const gap = 0.01;
    const sphere = indexSurface(sphereMesh(r, 5, [0, 0, r + gap]));
    const table = indexSurface(boxMesh([-9, -9, -2], [9, 9, 0]));
    const [near, far] = areaWithin(sphere, table, false, [0.05, 0.2]) as [number, number];
    expect(Math.abs(near - 2 * Math.PI * r * 0.04)).toBeLessThan(0.05);
    expect(Math.abs(far - 2 * Math.PI * r * 0.19)).toBeLessThan(0.06);
  });

  it('counts what lies inside the other', () => {
    const sphere = indexSurface(sphereMesh(2, 4, [0, 0, 1.5]));
    const table = indexSurface(boxMesh([-9, -9, -5], [9, 9, 0]));
    const cap = 2 * Math.PI * 2 * (0.5 + 0.02);
    const [area] = areaWithin(sphere, table, true, [0.02]) as [number];
    expect(Math.abs(area - cap)).toBeLessThan(0.1);
  });
});

describe('shellDistance after a rigid motion', () => {
  it('stays the same', () => {
    const a = sphereMesh(2, 3);
    const b = boxMesh([1.7, -1, -1], [4, 1, 1]);
    const before = between(a, b).signedMm;
    const motion = rotationAbout([1, 1, 1], [2, -1, 0.5] as Vec3, 0.9, [12, -7, 3]);
    const moved = (m: TriangleMesh) => ({
      positions: movePositions(motion, m.positions),
      triangles: m.triangles,
    });
    expect(between(moved(a), moved(b)).signedMm).toBeCloseTo(before, 4);
    expect(before).toBeLessThan(-0.25);
  });
});
