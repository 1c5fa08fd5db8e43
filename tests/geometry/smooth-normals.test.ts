import { describe, expect, it } from 'vitest';
import { smoothNormals } from '../../src/geometry/smooth-normals.ts';
import { vertexNormals } from '../../src/geometry/triangle-geometry.ts';
import type { TriangleMesh } from '../../src/geometry/types.ts';
import { sphereMesh } from '../helpers/closed-meshes.ts';
import { seededNormal } from '../helpers/random.ts';

function smoothed(mesh: TriangleMesh, normals: Float32Array, rounds: number): Float32Array {
  let current = normals.slice();
  let next = new Float32Array(normals.length);
  for (let round = 0; round < rounds; round++) {
    smoothNormals(mesh, current, next);
    [current, next] = [next, current];
  }
  return current;
}

describe('smoothNormals', () => {
  it('keeps the normals of a sphere and their unit length', () => {
    const mesh = sphereMesh(5, 3);
    const before = vertexNormals(mesh);
    const after = smoothed(mesh, before, 5);
    for (let v = 0; v < after.length; v += 3) {
      const dot = before[v]! * after[v]! + before[v + 1]! * after[v + 1]! + before[v + 2]! * after[v + 2]!;
      expect(dot).toBeGreaterThan(0.999);
      expect(Math.hypot(after[v]!, after[v + 1]!, after[v + 2]!)).toBeCloseTo(1, 5);
    }
  });

  it('averages a flat fan by hand: centre plus its four neighbours', () => {
    const mesh = {
      positions: Float32Array.from([0, 0, 0, 1, 0, 0, 0, 1, 0, -1, 0, 0, 0, -1, 0]),
      triangles: Uint32Array.from([0, 1, 2, 0, 2, 3, 0, 3, 4, 0, 4, 1]),
    };
    const normals = Float32Array.from([0, 0, 1, 1, 0, 0, 0, 0, 1, 0, 0, 1, 0, 0, 1]);
    const after = smoothed(mesh, normals, 1);
    // Centre: own (0,0,1) + each of four neighbours twice half = (1, 0, 4).
    expect(after[0]).toBeCloseTo(1 / Math.sqrt(17), 6);
    expect(after[2]).toBeCloseTo(4 / Math.sqrt(17), 6);
  });

  it('takes noise out', () => {
    const mesh = sphereMesh(5, 4);
    const clean = vertexNormals(mesh);
    const normal = seededNormal(1);
    const noisy = clean.map((value) => value + 0.1 * normal());
    const error = (normals: Float32Array): number =>
      Math.sqrt(normals.reduce((sum, value, k) => sum + (value - clean[k]!) ** 2, 0) / normals.length);
    expect(error(smoothed(mesh, noisy, 4))).toBeLessThan(0.5 * error(noisy));
  });
});
