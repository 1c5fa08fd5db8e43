import { describe, expect, it } from 'vitest';
import { MaxFlow } from '../../src/geometry/max-flow.ts';
import { seededRandom } from '../helpers/random.ts';

interface Cut {
  readonly n: number;
  /** [sinkSide, sourceSide] per node. */
  readonly terminals: readonly (readonly [number, number])[];
  readonly edges: readonly (readonly [number, number, number, number])[];
}

function costOf(cut: Cut, onSinkSide: (i: number) => boolean): number {
  let cost = 0;
  cut.terminals.forEach(([sinkSide, sourceSide], i) => {
    cost += onSinkSide(i) ? sinkSide : sourceSide;
  });
  for (const [i, j, forward, backward] of cut.edges) {
    if (!onSinkSide(i) && onSinkSide(j)) cost += forward;
    if (onSinkSide(i) && !onSinkSide(j)) cost += backward;
  }
  return cost;
}

function solve(flow: MaxFlow, cut: Cut): boolean[] {
  flow.reset(cut.n);
  cut.terminals.forEach(([sinkSide, sourceSide], i) => {
    flow.addTerminal(i, sinkSide, sourceSide);
  });
  for (const [i, j, forward, backward] of cut.edges) flow.addEdge(i, j, forward, backward);
  flow.solve();
  return Array.from({ length: cut.n }, (_, i) => flow.onSinkSide(i));
}

/** Smallest cost over all 2^n cuts. */
function bruteForce(cut: Cut): number {
  let least = Number.POSITIVE_INFINITY;
  for (let mask = 0; mask < 1 << cut.n; mask++) {
    least = Math.min(
      least,
      costOf(cut, (i) => ((mask >> i) & 1) === 1),
    );
  }
  return least;
}

/** Largest flow by shortest augmenting paths (Edmonds and Karp 1972) on a dense matrix: slow and independent. */
function denseMaxFlow(cut: Cut): number {
  const size = cut.n + 2;
  const [s, t] = [cut.n, cut.n + 1];
  const capacity = Array.from({ length: size }, () => new Float64Array(size));
  let offset = 0;
  cut.terminals.forEach(([sinkSide, sourceSide], i) => {
    const common = Math.min(sinkSide, sourceSide);
    offset += common;
    capacity[s]![i]! += sinkSide - common;
    capacity[i]![t]! += sourceSide - common;
  });
  for (const [i, j, forward, backward] of cut.edges) {
    capacity[i]![j]! += forward;
    capacity[j]![i]! += backward;
  }
  let flow = 0;
  for (;;) {
    const from = new Int32Array(size).fill(-1);
    from[s] = s;
    const queue = [s];
    for (const i of queue) {
      for (let j = 0; j < size; j++) {
        if (from[j] === -1 && capacity[i]![j]! > 1e-12) {
          from[j] = i;
          queue.push(j);
        }
      }
    }
    if (from[t] === -1) return flow + offset;
    let bottleneck = Number.POSITIVE_INFINITY;
    for (let j = t; j !== s; j = from[j]!) bottleneck = Math.min(bottleneck, capacity[from[j]!]![j]!);
    for (let j = t; j !== s; j = from[j]!) {
      capacity[from[j]!]![j]! -= bottleneck;
      capacity[j]![from[j]!]! += bottleneck;
    }
    flow += bottleneck;
  }
}

function randomCut(random: () => number, n: number, edges: number): Cut {
  return {
    n,
    terminals: Array.from(
      { length: n },
      () => [Math.floor(random() * 10), Math.floor(random() * 10)] as const,
    ),
    edges: Array.from({ length: edges }, () => {
      const i = Math.floor(random() * n);
      const j = (i + 1 + Math.floor(random() * (n - 1))) % n;
      return [i, j, Math.floor(random() * 8), Math.floor(random() * 8)] as const;
    }),
  };
}

describe('MaxFlow', () => {
  it('cuts a chain at its weakest link', () => {
    const cut: Cut = {
      n: 4,
      terminals: [
        [100, 0],
        [0, 0],
        [0, 0],
        [0, 100],
      ],
      edges: [
        [0, 1, 5, 5],
        [1, 2, 2, 2],
        [2, 3, 7, 7],
      ],
    };
    expect(solve(new MaxFlow(), cut)).toEqual([false, false, true, true]);
  });

  it('finds the smallest of all cuts on 300 random graphs, one object after another', () => {
    const random = seededRandom(7);
    const flow = new MaxFlow();
    for (let round = 0; round < 300; round++) {
      const cut = randomCut(random, 2 + Math.floor(random() * 9), Math.floor(random() * 25));
      const side = solve(flow, cut);
      expect(costOf(cut, (i) => side[i]!)).toBe(bruteForce(cut));
    }
  });

  it('agrees with shortest augmenting paths on larger graphs, also with fractional and negative costs', () => {
    const random = seededRandom(11);
    const flow = new MaxFlow();
    for (let round = 0; round < 40; round++) {
      const whole = randomCut(random, 60, 260);
      const cut: Cut = {
        ...whole,
        terminals: whole.terminals.map(([a, b]) => [a * random() - 2, b * random() - 2] as const),
        edges: whole.edges.map(([i, j, a, b]) => [i, j, a * random(), b * random()] as const),
      };
      const side = solve(flow, cut);
      expect(costOf(cut, (i) => side[i]!)).toBeCloseTo(denseMaxFlow(cut), 9);
    }
  });

  it('agrees with shortest augmenting paths on long strips with one strong end, where flow is sent in waves', () => {
    const random = seededRandom(13);
    const flow = new MaxFlow();
    for (let round = 0; round < 10; round++) {
      const length = 50;
      const [weak, strong] = round % 2 ? [0, 1] : [1, 0];
      const terminals = Array.from({ length: 2 * length }, (_, i) => {
        const cost = [0, 0] as [number, number];
        if (i % length === 0) cost[strong] = 20;
        else cost[weak] = random();
        return cost;
      });
      const edges: [number, number, number, number][] = [];
      for (let i = 0; i < 2 * length; i++) {
        if ((i + 1) % length) edges.push([i, i + 1, 20 * random(), 20 * random()]);
        if (i < length) edges.push([i, i + length, random(), random()]);
      }
      const cut: Cut = { n: 2 * length, terminals, edges };
      const side = solve(flow, cut);
      expect(costOf(cut, (i) => side[i]!)).toBeCloseTo(denseMaxFlow(cut), 9);
    }
  });

  it.each([
    [[[Number.NaN, 0] as const, [0, 1] as const], [[0, 1, 1, 1] as const]],
    [[[1, 0] as const, [0, 1] as const], [[0, 1, Number.POSITIVE_INFINITY, 1] as const]],
  ])('refuses costs that are not finite, as the search would not end', (terminals, edges) => {
    expect(() => solve(new MaxFlow(), { n: 2, terminals, edges })).toThrow(RangeError);
  });

  it('leaves nodes that could lie on either side with the source', () => {
    const cut: Cut = {
      n: 2,
      terminals: [
        [3, 3],
        [0, 0],
      ],
      edges: [[0, 1, 1, 1]],
    };
    expect(solve(new MaxFlow(), cut)).toEqual([false, false]);
  });
});
