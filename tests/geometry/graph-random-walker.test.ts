import { Matrix, solve } from 'ml-matrix';
import { describe, expect, it } from 'vitest';
import {
  makeWalkerScratch,
  type WalkerProblem,
  walkProbability,
} from '../../src/geometry/graph-random-walker.ts';
import type { SurfaceGraph } from '../../src/geometry/graph-surface.ts';
import { seededRandom } from '../helpers/random.ts';

function graphOf(n: number, edges: readonly (readonly [number, number, number])[]) {
  const rows: { j: number; w: number }[][] = Array.from({ length: n }, () => []);
  for (const [i, j, w] of edges) {
    rows[i]!.push({ j, w });
    rows[j]!.push({ j: i, w });
  }
  const start = new Uint32Array(n + 1);
  rows.forEach((row, i) => {
    start[i + 1] = start[i]! + row.length;
  });
  const flat = rows.flat();
  const arcs = flat.length;
  const graph: SurfaceGraph = {
    nodeCount: n,
    start,
    target: Uint32Array.from(flat, (arc) => arc.j),
    lengthMm: new Float32Array(arcs),
    curvature: new Float32Array(arcs),
    rimMm: new Float32Array(n),
    area: new Float32Array(n),
    centroid: new Float32Array(3 * n),
  };
  return { graph, weight: Float32Array.from(flat, (arc) => arc.w) };
}

function walk(problem: Omit<WalkerProblem, 'tolerance' | 'guess'>): Float32Array {
  const out = new Float32Array(problem.graph.nodeCount);
  walkProbability({ ...problem, guess: () => 0, tolerance: 1e-8 }, makeWalkerScratch(), out);
  return out;
}

describe('walkProbability', () => {
  // A walker on a chain: the gambler's ruin, linear between the ends.
  it('is linear along a chain of equal links', () => {
    const n = 11;
    const { graph, weight } = graphOf(
      n,
      Array.from({ length: n - 1 }, (_, i) => [i, i + 1, 1] as const),
    );
    const fixed = new Uint8Array(n);
    fixed[0] = 1;
    fixed[n - 1] = 1;
    const window = Int32Array.from({ length: n }, (_, i) => i);
    const p = walk({ graph, weight, window, fixed, seed: (i) => i === n - 1 });
    p.forEach((value, i) => {
      expect(value).toBeCloseTo(i / (n - 1), 6);
    });
  });

  // Series conductances 1 and 3: the middle sits at 3/4 of the drop from the seed behind the weak link.
  it('divides as resistors in series do', () => {
    const { graph, weight } = graphOf(3, [
      [0, 1, 1],
      [1, 2, 3],
    ]);
    const p = walk({
      graph,
      weight,
      window: Int32Array.of(0, 1, 2),
      fixed: Uint8Array.of(1, 0, 1),
      seed: (i) => i === 2,
    });
    expect(p[1]).toBeCloseTo(0.75, 7);
  });

  it('agrees with a dense solver on random graphs; probabilities of all labels add up to 1', () => {
    const random = seededRandom(21);
    for (let round = 0; round < 10; round++) {
      const n = 60;
      const edges: [number, number, number][] = [];
      for (let i = 1; i < n; i++) edges.push([i, Math.floor(random() * i), 0.01 + random()]);
      for (let k = 0; k < 80; k++) {
        const i = Math.floor(random() * n);
        edges.push([i, (i + 1 + Math.floor(random() * (n - 1))) % n, 0.001 + random()]);
      }
      const { graph, weight } = graphOf(n, edges);
      const fixed = Uint8Array.from({ length: n }, (_, i) => (i < 9 ? 1 : 0));
      const window = Int32Array.from({ length: n }, (_, i) => i);
      const sum = new Float32Array(n);
      for (let label = 0; label < 3; label++) {
        const p = walk({ graph, weight, window, fixed, seed: (i) => i % 3 === label });
        const A = Matrix.zeros(n, n);
        const b = Matrix.zeros(n, 1);
        for (let i = 0; i < n; i++) {
          if (fixed[i]) {
            A.set(i, i, 1);
            b.set(i, 0, i % 3 === label ? 1 : 0);
            continue;
          }
          for (let arc = graph.start[i]!; arc < graph.start[i + 1]!; arc++) {
            const [j, w] = [graph.target[arc]!, weight[arc]!];
            A.set(i, i, A.get(i, i) + w);
            A.set(i, j, A.get(i, j) - w);
          }
        }
        const exact = solve(A, b);
        for (let i = 0; i < n; i++) {
          expect(p[i]).toBeCloseTo(exact.get(i, 0), 5);
          sum[i]! += p[i]!;
        }
      }
      for (const value of sum) expect(value).toBeCloseTo(1, 4);
    }
  });

  it('counts the outside of the window as never arriving', () => {
    const { graph, weight } = graphOf(3, [
      [0, 1, 1],
      [1, 2, 1],
    ]);
    const p = walk({
      graph,
      weight,
      window: Int32Array.of(0, 1),
      fixed: Uint8Array.of(1, 0, 0),
      seed: (i) => i === 0,
    });
    expect(p[1]).toBeCloseTo(0.5, 7);
    expect(p[2]).toBe(0);
  });
});
