import { describe, expect, it } from 'vitest';
import { icosphere, planeGrid } from '../../fixtures/shapes.ts';
import { sampleOrientedPoints } from '../../src/geometry/oriented-points.ts';
import { dot, length, vertexAt } from '../../src/geometry/vec3.ts';

describe('sampleOrientedPoints', () => {
  it('keeps points of the surface itself with their outward normals', () => {
    const sphere = icosphere({ radius: 5, edgeMm: 0.4 });
    const { points, normals } = sampleOrientedPoints(sphere, 1);
    expect(points.length / 3).toBeGreaterThan(200);
    for (let i = 0; i < points.length / 3; i += 1) {
      const p = vertexAt(points, i);
      // A centroid of a triangle of 0.4 mm edges lies 5 um inside; a mean over a millimetre would lie 30 um inside.
      expect(length(p)).toBeGreaterThan(4.985);
      expect(length(vertexAt(normals, i))).toBeCloseTo(1, 9);
      expect(dot(p, vertexAt(normals, i)) / length(p)).toBeGreaterThan(0.98);
    }
  });

  it('gives one point per cube of a plane', () => {
    const plane = planeGrid({ size: [10, 10], edgeMm: 0.25 });
    const all = sampleOrientedPoints(plane, 1).points.length / 3;
    // 10 x 10 mm in cubes of 1 mm, edges of the plane may lie on edges of cubes.
    expect(all).toBeGreaterThanOrEqual(100);
    expect(all).toBeLessThanOrEqual(121);
    expect(sampleOrientedPoints({ ...plane, triangles: new Uint32Array(0) }, 1).points).toHaveLength(0);
  });
});
