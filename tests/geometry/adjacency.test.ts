import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  edgeStatistics,
  edgeTopology,
  faceAdjacency,
  triangleComponents,
} from '../../src/geometry/adjacency.ts';

/** The slow twin: every pair of triangles is compared through a table of named edges. */
function slowTwin(triangles: Uint32Array): {
  adjacency: number[];
  open: number;
  many: number;
  flipped: number;
} {
  const edges = new Map<string, { half: number; from: number }[]>();
  for (let h = 0; h < triangles.length; h++) {
    const from = triangles[h]!;
    const to = triangles[h % 3 === 2 ? h - 2 : h + 1]!;
    const name = from < to ? `${from}-${to}` : `${to}-${from}`;
    edges.set(name, [...(edges.get(name) ?? []), { half: h, from }]);
  }
  const adjacency: number[] = new Array(triangles.length).fill(-1);
  const counts = { open: 0, many: 0, flipped: 0 };
  for (const uses of edges.values()) {
    if (uses.length === 1) counts.open++;
    else if (uses.length > 2) counts.many++;
    else {
      const [a, b] = [uses[0]!, uses[1]!];
      adjacency[a.half] = Math.floor(b.half / 3);
      adjacency[b.half] = Math.floor(a.half / 3);
      if (a.from === b.from) counts.flipped++;
    }
  }
  return { adjacency, ...counts };
}

const flat = (vertexCount: number, triangles: number[]) => ({
  positions: Float32Array.from({ length: 3 * vertexCount }, (_, i) => (i * 7) % 11),
  triangles: new Uint32Array(triangles),
});

describe('adjacency in closed form', () => {
  // 3---2   two triangles, (0,1,2) and (0,2,3), share the diagonal 0-2
  // | / |
  // 0---1
  const square = {
    positions: new Float32Array([0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 1, 0]),
    triangles: new Uint32Array([0, 1, 2, 0, 2, 3]),
  };

  test('a square: neighbours across the diagonal, four open edges, median edge 1', () => {
    expect([...faceAdjacency(square.triangles, 4)]).toEqual([-1, -1, 1, 0, -1, -1]);
    expect(edgeStatistics(square)).toEqual({
      edges: 5,
      openEdges: 4,
      nonManifoldEdges: 0,
      flippedEdges: 0,
      medianEdgeMm: 1,
    });
  });

  test('turning one triangle over makes its shared edge a flipped one, still neighbours', () => {
    const turned = { ...square, triangles: new Uint32Array([0, 1, 2, 0, 3, 2]) };
    const topology = edgeTopology(turned);
    expect(topology.flippedEdges).toBe(1);
    expect([...topology.adjacency]).toEqual([-1, -1, 1, -1, -1, 0]);
  });

  test('three triangles on one edge: non-manifold, no neighbours across it', () => {
    const book = flat(5, [0, 1, 2, 0, 1, 3, 0, 1, 4]);
    expect(edgeStatistics(book)).toMatchObject({ nonManifoldEdges: 1, openEdges: 6 });
    expect([...faceAdjacency(book.triangles, 5)]).toEqual(new Array(9).fill(-1));
  });

  test('a closed tetrahedron has six edges, none open, one piece', () => {
    const tetrahedron = flat(4, [0, 2, 1, 0, 1, 3, 1, 2, 3, 2, 0, 3]);
    const topology = edgeTopology(tetrahedron);
    expect(topology).toMatchObject({ edges: 6, openEdges: 0, nonManifoldEdges: 0, flippedEdges: 0 });
    expect(triangleComponents(topology.adjacency).sizes).toEqual([4]);
  });

  test('an empty mesh has no edges and no pieces', () => {
    const topology = edgeTopology({ positions: new Float32Array(0), triangles: new Uint32Array(0) });
    expect(topology).toMatchObject({ edges: 0, openEdges: 0, medianEdgeMm: 0 });
    expect(triangleComponents(topology.adjacency).sizes).toEqual([]);
  });

  test('two squares that touch in one vertex only are two pieces, numbered by their first triangle', () => {
    const mesh = flat(7, [0, 1, 2, 2, 4, 5, 0, 2, 3, 2, 5, 6]);
    const pieces = triangleComponents(faceAdjacency(mesh.triangles, 7));
    expect([...pieces.component]).toEqual([0, 1, 0, 1]);
    expect(pieces.sizes).toEqual([2, 2]);
  });

  test('a fan of 5000 triangles round one vertex is closed but for its rim', () => {
    const n = 5000;
    const triangles = Array.from({ length: n }, (_, i) => [0, i + 1, ((i + 1) % n) + 1]).flat();
    const topology = edgeTopology(flat(n + 1, triangles));
    expect(topology).toMatchObject({ edges: 2 * n, openEdges: n, nonManifoldEdges: 0, flippedEdges: 0 });
    expect(triangleComponents(topology.adjacency).sizes).toEqual([n]);
  });
});

describe('adjacency against its slow twin', () => {
  const triangle = fc
    .uniqueArray(fc.integer({ min: 0, max: 11 }), { minLength: 3, maxLength: 3 })
    .map((corners) => corners as [number, number, number]);

  test('agrees on random soups of triangles', () => {
    fc.assert(
      fc.property(fc.array(triangle, { maxLength: 40 }), (list) => {
        const mesh = flat(12, list.flat());
        const topology = edgeTopology(mesh);
        const twin = slowTwin(mesh.triangles);
        expect([...topology.adjacency]).toEqual(twin.adjacency);
        expect([...faceAdjacency(mesh.triangles, 12)]).toEqual(twin.adjacency);
        expect(topology.openEdges).toBe(twin.open);
        expect(topology.nonManifoldEdges).toBe(twin.many);
        expect(topology.flippedEdges).toBe(twin.flipped);
        const { sizes } = triangleComponents(topology.adjacency);
        expect(sizes.reduce((a, b) => a + b, 0)).toBe(list.length);
      }),
      { seed: 13, numRuns: 300 },
    );
  });

  test('agrees on a vertex with more triangles than the insertion sort takes', () => {
    fc.assert(
      fc.property(
        fc.shuffledSubarray(
          Array.from({ length: 90 }, (_, i) => i + 1),
          { minLength: 80 },
        ),
        (rim) => {
          const triangles = rim.slice(1).flatMap((v, i) => [v, 0, rim[i]!]);
          const mesh = flat(91, triangles);
          const twin = slowTwin(mesh.triangles);
          expect([...edgeTopology(mesh).adjacency]).toEqual(twin.adjacency);
        },
      ),
      { seed: 14, numRuns: 30 },
    );
  });
});
