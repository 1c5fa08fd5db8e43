import { describe, expect, it } from 'vitest';
import {
  expandLabels,
  makeExpansionScratch,
  type PottsProblem,
  pottsEnergy,
} from '../../src/geometry/graph-alpha-expansion.ts';
import { runAtOnce } from '../../src/geometry/steps.ts';
import { seededRandom } from '../helpers/random.ts';

function problemOf(
  nodeCount: number,
  labelCount: number,
  edges: readonly (readonly [number, number, number])[],
  unary: Float32Array,
): PottsProblem {
  const rows: { j: number; w: number }[][] = Array.from({ length: nodeCount }, () => []);
  for (const [i, j, w] of edges) {
    rows[i]!.push({ j, w });
    rows[j]!.push({ j: i, w });
  }
  const start = new Uint32Array(nodeCount + 1);
  rows.forEach((row, i) => {
    start[i + 1] = start[i]! + row.length;
  });
  const flat = rows.flat();
  const windows = Array.from({ length: labelCount }, (_, label) =>
    Int32Array.from({ length: nodeCount }, (_, i) => i).filter((i) =>
      Number.isFinite(unary[label * nodeCount + i]),
    ),
  );
  return {
    nodeCount,
    start,
    target: Uint32Array.from(flat, (arc) => arc.j),
    weight: Float32Array.from(flat, (arc) => arc.w),
    unary,
    labelCount,
    windows,
    fixed: new Uint8Array(nodeCount),
  };
}

function randomProblem(random: () => number, nodeCount: number, labelCount: number): PottsProblem {
  const edges: [number, number, number][] = [];
  for (let i = 1; i < nodeCount; i++) edges.push([i, Math.floor(random() * i), random() * 3]);
  for (let k = 0; k < nodeCount; k++) {
    const i = Math.floor(random() * nodeCount);
    const j = (i + 1 + Math.floor(random() * (nodeCount - 1))) % nodeCount;
    edges.push([i, j, random() * 3]);
  }
  const unary = Float32Array.from({ length: nodeCount * labelCount }, () =>
    random() < 0.15 ? Number.POSITIVE_INFINITY : random() * 4,
  );
  // Label 0 is possible everywhere.
  for (let i = 0; i < nodeCount; i++) unary[i] = random() * 4;
  return problemOf(nodeCount, labelCount, edges, unary);
}

function everyLabelling(nodeCount: number, labelCount: number): Uint8Array[] {
  const all: Uint8Array[] = [];
  for (let code = 0; code < labelCount ** nodeCount; code++) {
    let rest = code;
    all.push(
      Uint8Array.from({ length: nodeCount }, () => {
        const digit = rest % labelCount;
        rest = Math.floor(rest / labelCount);
        return digit;
      }),
    );
  }
  return all;
}

describe('expandLabels', () => {
  it('finds the best of all labellings when there are two labels', () => {
    const random = seededRandom(3);
    const scratch = makeExpansionScratch();
    for (let round = 0; round < 60; round++) {
      const problem = randomProblem(random, 9, 2);
      const labels = new Uint8Array(9);
      runAtOnce(expandLabels(problem, labels, [1, 0], 5, scratch));
      const best = Math.min(...everyLabelling(9, 2).map((one) => pottsEnergy(problem, one)));
      expect(pottsEnergy(problem, labels)).toBeCloseTo(best, 5);
    }
  });

  // Boykov, Veksler and Zabih 2001, theorem 6.1: at most twice the best energy for the Potts model.
  it('reaches a labelling that no single expansion improves, within twice the best', () => {
    const random = seededRandom(5);
    const scratch = makeExpansionScratch();
    for (let round = 0; round < 30; round++) {
      const problem = randomProblem(random, 7, 3);
      const labels = new Uint8Array(7);
      runAtOnce(expandLabels(problem, labels, [1, 2, 0], 20, scratch));
      const reached = pottsEnergy(problem, labels);
      const all = everyLabelling(7, 3);
      const best = Math.min(...all.map((one) => pottsEnergy(problem, one)));
      expect(reached).toBeLessThanOrEqual(2 * best + 1e-5);
      for (const one of all) {
        const taken = new Set([...one].filter((label, i) => label !== labels[i]));
        if (taken.size > 1) continue;
        expect(pottsEnergy(problem, one)).toBeGreaterThan(reached - 1e-5);
      }
    }
  });

  it('never raises the energy and never moves a fixed node', () => {
    const random = seededRandom(9);
    const scratch = makeExpansionScratch();
    for (let round = 0; round < 30; round++) {
      const problem = randomProblem(random, 80, 5);
      const labels = Uint8Array.from({ length: 80 }, (_, i) => {
        const label = Math.floor(random() * 5);
        return Number.isFinite(problem.unary[label * 80 + i]) ? label : 0;
      });
      for (let i = 0; i < 80; i += 7) problem.fixed[i] = 1;
      const begin = labels.slice();
      let energy = pottsEnergy(problem, labels);
      for (const alpha of [1, 2, 3, 4, 0]) {
        runAtOnce(expandLabels(problem, labels, [alpha], 1, scratch));
        const now = pottsEnergy(problem, labels);
        expect(now).toBeLessThanOrEqual(energy + 1e-4);
        energy = now;
      }
      for (let i = 0; i < 80; i += 7) expect(labels[i]).toBe(begin[i]);
    }
  });
});
