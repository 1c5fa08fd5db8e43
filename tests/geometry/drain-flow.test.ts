import { describe, expect, it } from 'vitest';
import { drainFlow } from '../../src/geometry/drain-flow.ts';
import { seededRandom } from '../helpers/random.ts';

type Edge = readonly [from: number, to: number, forward: number, backward: number];

/** A flow problem in the layout that `drainFlow` works on. */
function graphOf(terminals: readonly number[], edges: readonly Edge[]) {
  const nodes = terminals.length;
  const firstArc = new Int32Array(nodes).fill(-1);
  const arcNext = new Int32Array(2 * edges.length);
  const head = new Int32Array(2 * edges.length);
  const residual = new Float64Array(2 * edges.length);
  for (const [k, [from, to, forward, backward]] of edges.entries()) {
    head.set([to, from], 2 * k);
    residual.set([forward, backward], 2 * k);
    arcNext[2 * k] = firstArc[from]!;
    firstArc[from] = 2 * k;
    arcNext[2 * k + 1] = firstArc[to]!;
    firstArc[to] = 2 * k + 1;
  }
  return { nodes, firstArc, arcNext, head, residual, terminal: Float64Array.from(terminals) };
}

type Graph = ReturnType<typeof graphOf>;

function drain(graph: Graph): void {
  drainFlow(graph, new Int32Array(graph.nodes), new Int32Array(graph.nodes));
}

/** Cost of a cut; every arc from the source's side to the sink's is cut. */
function costOf({ nodes, head, residual, terminal }: Graph, isSinkSide: readonly boolean[]): number {
  let cost = 0;
  for (let i = 0; i < nodes; i++) {
    const t = terminal[i]!;
    if (isSinkSide[i] && t > 0) cost += t;
    if (!isSinkSide[i] && t < 0) cost -= t;
  }
  for (let arc = 0; arc < head.length; arc++) {
    if (!isSinkSide[head[arc ^ 1]!] && isSinkSide[head[arc]!]) cost += residual[arc]!;
  }
  return cost;
}

/** Nodes in a row, each joined with the next. */
const row = (terminals: readonly number[], capacity: number): Graph =>
  graphOf(
    terminals,
    terminals.slice(1).map((_, i) => [i, i + 1, capacity, capacity]),
  );

const flowsIn = (graph: Graph): number => graph.terminal.reduce((sum, t) => sum + Math.max(0, t), 0);

describe('drainFlow', () => {
  it('fills many small sinks along a row from one source at its end', () => {
    const graph = row([100, ...Array.from({ length: 50 }, () => -1)], 100);
    drain(graph);
    expect(Array.from(graph.terminal, Math.abs)).toEqual([50, ...Array.from({ length: 50 }, () => 0)]);
    expect(graph.residual[0]).toBe(50);
    expect(graph.residual[1]).toBe(150);
  });

  it('gathers many small sources into one sink, and no more than its arcs carry', () => {
    const graph = row([...Array.from({ length: 50 }, () => 1), -100], 30);
    drain(graph);
    expect(graph.terminal[50]).toBe(-70);
    expect(flowsIn(graph)).toBe(20);
    expect(graph.residual[2 * 49]).toBe(0);
  });

  it('leaves a graph alone whose terminals lie side by side', () => {
    const graph = row(
      Array.from({ length: 40 }, (_, i) => (i % 2 ? -1 : 1)),
      5,
    );
    const before = { residual: graph.residual.slice(), terminal: graph.terminal.slice() };
    drain(graph);
    expect(graph.residual).toEqual(before.residual);
    expect(graph.terminal).toEqual(before.terminal);
  });

  it.each([1, 2, 3, 4, 5, 6])('changes every cut of a grid by the same amount, seed %i', (seed) => {
    const random = seededRandom(seed);
    const [wide, high] = [40, 4];
    const terminals: number[] = [];
    const edges: Edge[] = [];
    const side = seed % 2 ? 1 : -1;
    for (let i = 0; i < wide * high; i++) {
      const atEnd = i % wide < 2;
      terminals.push(atEnd ? -side * 30 * random() : side * random());
      if ((i + 1) % wide) edges.push([i, i + 1, 4 * random(), 4 * random()]);
      if (i + wide < wide * high) edges.push([i, i + wide, random(), random()]);
    }
    const graph = graphOf(terminals, edges);
    const cuts = Array.from({ length: 30 }, () => terminals.map(() => random() < 0.5));
    const before = cuts.map((cut) => costOf(graph, cut));
    const given = flowsIn(graph);
    drain(graph);
    const sent = given - flowsIn(graph);
    expect(sent).toBeGreaterThan(1);
    for (const [k, cut] of cuts.entries()) expect(before[k]! - costOf(graph, cut)).toBeCloseTo(sent, 9);
    for (const room of graph.residual) expect(room).toBeGreaterThanOrEqual(0);
  });
});
