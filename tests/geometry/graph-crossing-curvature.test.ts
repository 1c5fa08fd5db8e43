import { describe, expect, it } from 'vitest';
import { faceAdjacency } from '../../src/geometry/adjacency.ts';
import {
  type CrossingCurvatureInput,
  crossingCurvature,
  curvatureAcross,
  typicalEdgeLength,
} from '../../src/geometry/graph-crossing-curvature.ts';
import { triangleCentroids, triangleNormals, vertexNormals } from '../../src/geometry/triangle-geometry.ts';
import type { TriangleMesh } from '../../src/geometry/types.ts';
import { sphereMesh } from '../helpers/closed-meshes.ts';

function inputOf(mesh: TriangleMesh, coarse: boolean): CrossingCurvatureInput {
  return {
    mesh,
    adjacency: faceAdjacency(mesh.triangles, mesh.positions.length / 3),
    vertexNormals: vertexNormals(mesh),
    faces: coarse ? { normals: triangleNormals(mesh), centroids: triangleCentroids(mesh) } : null,
  };
}

const curvatureOf = (mesh: TriangleMesh, coarse = false): Float32Array =>
  crossingCurvature(inputOf(mesh, coarse));

/** Two triangles that meet in a valley along the x axis, slopes 1 up on both sides; (0, 1, 1) and (0, -1, 1). */
const VALLEY: TriangleMesh = {
  positions: Float32Array.from([-1, 0, 0, 1, 0, 0, 0, 1, 1, 0, -1, 1]),
  triangles: Uint32Array.from([0, 1, 2, 1, 0, 3]),
};

describe('crossingCurvature', () => {
  it('is 1/R everywhere on a sphere of radius R, and -1/R seen from inside', () => {
    const mesh = sphereMesh(4, 3);
    const adjacency = faceAdjacency(mesh.triangles, mesh.positions.length / 3);
    for (const sense of [1, -1]) {
      const normals = mesh.positions.map((value) => (sense * value) / 4);
      const curvature = crossingCurvature({ mesh, adjacency, vertexNormals: normals, faces: null });
      for (const value of curvature) expect(value).toBeCloseTo(sense / 4, 5);
    }
  });

  it('is the same on both sides of every edge', () => {
    const mesh = sphereMesh(3, 2);
    const adjacency = faceAdjacency(mesh.triangles, mesh.positions.length / 3);
    const value = curvatureOf(mesh);
    for (let h = 0; h < value.length; h++) {
      const g = adjacency[h]!;
      const twin = [0, 1, 2].find((k) => adjacency[3 * g + k] === Math.floor(h / 3))!;
      expect(value[3 * g + twin]).toBe(value[h]);
    }
  });

  it('sees the valley between two facets only through their raw normals', () => {
    // Face normals (0, -1, 1)/sqrt 2 and (0, 1, 1)/sqrt 2; centroids (0, +-1/3, 1/3): D = -(sqrt 2)(2/3)/(2/3)^2.
    const raw = -(Math.SQRT2 * (2 / 3)) / (2 / 3) ** 2;
    const withFaces = curvatureOf(VALLEY, true);
    expect(withFaces[0]).toBeCloseTo(0.7 * raw, 5);
    expect(withFaces[3]).toBeCloseTo(0.7 * raw, 5);
    expect(withFaces[1]).toBe(0);
    // Corner normals of single facets: -(sqrt 2)(2)/4.
    expect(curvatureOf(VALLEY)[0]).toBeCloseTo(-Math.SQRT2 / 2, 5);
  });

  it('is the same to the last bit where one side is asked for', () => {
    const uneven = sphereMesh(3, 2);
    for (let i = 0; i < uneven.positions.length; i++) uneven.positions[i]! *= 1 + 0.1 * Math.sin(7 * i);
    for (const mesh of [uneven, VALLEY]) {
      for (const coarse of [false, true]) {
        const input = inputOf(mesh, coarse);
        const all = crossingCurvature(input);
        expect(Float32Array.from(all, (_, side) => curvatureAcross(input, side))).toEqual(all);
        expect(all.some((value) => Math.abs(value) > 0.1)).toBe(true);
      }
    }
  });

  it('takes the median edge of a 3-4-5 triangle', () => {
    const mesh: TriangleMesh = {
      positions: Float32Array.from([0, 0, 0, 3, 0, 0, 0, 4, 0]),
      triangles: Uint32Array.from([0, 1, 2]),
    };
    expect(typicalEdgeLength(mesh)).toBeCloseTo(4, 6);
  });
});
