import { describe, expect, it } from 'vitest';
import { faceAdjacency } from '../../src/geometry/adjacency.ts';
import { crossingCurvature } from '../../src/geometry/graph-crossing-curvature.ts';
import { growSuperFaces } from '../../src/geometry/graph-super-faces.ts';
import { type FaceFabric, faceGraph } from '../../src/geometry/graph-surface.ts';
import { scanRim } from '../../src/geometry/scan-rim.ts';
import {
  sideLength,
  triangleAreas,
  triangleCentroids,
  vertexNormals,
} from '../../src/geometry/triangle-geometry.ts';
import type { TriangleMesh } from '../../src/geometry/types.ts';
import { sphereMesh } from '../helpers/closed-meshes.ts';

const SETTINGS = { radiusMm: 0.5, concavityCost: 2, curvatureScale: 0.5 };

function fabricOf(mesh: TriangleMesh): FaceFabric {
  const adjacency = faceAdjacency(mesh.triangles, mesh.positions.length / 3);
  return {
    mesh,
    adjacency,
    vertexNormals: vertexNormals(mesh),
    faces: null,
    rim: scanRim(mesh, adjacency, 0),
  };
}

describe('growSuperFaces', () => {
  const fabric = fabricOf(sphereMesh(3, 4));
  const { graph, nodeOfFace } = growSuperFaces(fabric, SETTINGS);

  it('keeps the whole surface: every face in one node, areas and borders add up', () => {
    expect(Math.min(...nodeOfFace)).toBe(0);
    expect(Math.max(...nodeOfFace)).toBe(graph.nodeCount - 1);
    expect(graph.nodeCount).toBeLessThan(nodeOfFace.length / 4);
    const total = (values: Float32Array): number => values.reduce((sum, value) => sum + value, 0);
    expect(total(graph.area)).toBeCloseTo(total(triangleAreas(fabric.mesh)), 2);
    let border = 0;
    for (let h = 0; h < fabric.adjacency.length; h++) {
      const g = fabric.adjacency[h]!;
      if (nodeOfFace[g] !== nodeOfFace[Math.floor(h / 3)]) border += sideLength(fabric.mesh, h);
    }
    expect(total(graph.lengthMm)).toBeCloseTo(border, 1);
  });

  it('makes connected patches no wider than the radius allows', () => {
    const centroid = triangleCentroids(fabric.mesh);
    const reached = new Set<number>();
    for (let f = 0; f < nodeOfFace.length; f++) {
      const node = nodeOfFace[f]!;
      if (reached.has(node)) continue;
      reached.add(node);
      const piece = [f];
      const seen = new Set(piece);
      for (const face of piece) {
        for (let h = 3 * face; h < 3 * face + 3; h++) {
          const g = fabric.adjacency[h]!;
          if (nodeOfFace[g] !== node || seen.has(g)) continue;
          seen.add(g);
          piece.push(g);
        }
      }
      expect(piece.length).toBe(nodeOfFace.filter((n) => n === node).length);
      for (const face of piece) {
        const d = [0, 1, 2].map((k) => centroid[3 * face + k]! - centroid[3 * f + k]!);
        expect(Math.hypot(...d)).toBeLessThan(2 * SETTINGS.radiusMm);
      }
    }
  });

  it('is symmetric: each arc is there from both ends with the same length and curvature', () => {
    const arcs = new Map<string, [number, number]>();
    for (let i = 0; i < graph.nodeCount; i++) {
      for (let arc = graph.start[i]!; arc < graph.start[i + 1]!; arc++) {
        arcs.set(`${i}>${graph.target[arc]}`, [graph.lengthMm[arc]!, graph.curvature[arc]!]);
      }
    }
    expect(arcs.size).toBe(graph.target.length);
    for (const [key, [length, curvature]] of arcs) {
      const back = arcs.get(key.split('>').reverse().join('>'))!;
      expect(back[0]).toBeCloseTo(length, 5);
      expect(back[1]).toBeCloseTo(curvature, 5);
    }
  });
});

describe('faceGraph', () => {
  it('joins the faces of a part and nothing outside it', () => {
    const fabric = fabricOf(sphereMesh(3, 2));
    const faces = Int32Array.from({ length: 40 }, (_, k) => 2 * k);
    const nodeOf = new Int32Array(fabric.adjacency.length / 3).fill(-1);
    faces.forEach((f, i) => {
      nodeOf[f] = i;
    });
    const graph = faceGraph(fabric, faces, nodeOf);
    const curvature = crossingCurvature(fabric);
    const areas = triangleAreas(fabric.mesh);
    const pairs: string[] = [];
    const folds: number[] = [];
    for (let i = 0; i < graph.nodeCount; i++) {
      for (let arc = graph.start[i]!; arc < graph.start[i + 1]!; arc++) {
        pairs.push(`${faces[i]}>${faces[graph.target[arc]!]}`);
        folds.push(graph.curvature[arc]!);
      }
    }
    const expected: string[] = [];
    const expectedFolds: number[] = [];
    for (const f of faces) {
      for (let h = 3 * f; h < 3 * f + 3; h++) {
        const g = fabric.adjacency[h]!;
        if (!(nodeOf[g]! >= 0)) continue;
        expected.push(`${f}>${g}`);
        expectedFolds.push(curvature[h]!);
      }
    }
    expect(pairs).toEqual(expected);
    expect(folds).toEqual(expectedFolds);
    expect([...graph.area]).toEqual([...faces].map((f) => areas[f]));
    expect(pairs.length).toBeGreaterThan(0);
  });
});
