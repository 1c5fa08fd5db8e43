import type { SurfaceGraph } from './graph-surface.ts';
import { letGo } from './let-go.ts';

/** One Dirichlet problem of a random walker. */
export interface WalkerProblem {
  readonly graph: SurfaceGraph;
  /** Weight of every arc, the same from both ends, above 0. */
  readonly weight: Float32Array;
  /** Nodes that may have a probability other than 0. */
  readonly window: Int32Array;
  /** 1 = the node's probability is given by `seed`. */
  readonly fixed: Uint8Array;
  /** 1 = a walker that gets here has arrived. */
  readonly seed: (node: number) => boolean;
  /** First guess per window entry, 0 to 1. */
  readonly guess: (node: number) => number;
  /** Residual, relative to the right-hand side, at which the iteration stops. */
  readonly tolerance: number;
}

/** Buffers that serve one walker after another. */
export interface WalkerScratch {
  localOf: Int32Array;
  x: Float64Array;
  r: Float64Array;
  p: Float64Array;
  q: Float64Array;
  diagonal: Float64Array;
  nodes: Int32Array;
  start: Int32Array;
  target: Int32Array;
  weight: Float64Array;
}

export function makeWalkerScratch(): WalkerScratch {
  const f = (): Float64Array => new Float64Array(0);
  const i = (): Int32Array => new Int32Array(0);
  return {
    localOf: i(),
    x: f(),
    r: f(),
    p: f(),
    q: f(),
    diagonal: f(),
    nodes: i(),
    start: i(),
    target: i(),
    weight: f(),
  };
}

/** Gives its memory back. @param scratch - of no use afterwards */
export function letGoWalkerScratch(scratch: WalkerScratch): void {
  letGo(...Object.values(scratch));
}

/** More rounds than any window needs; the walker then answers with what it has. */
const MOST_ROUNDS = 400;

/**
 * Probability that a random walker from each node of the window reaches a seed of its own before any other fixed
 * node or the window's outside (Grady 2006, "Random walks for image segmentation", IEEE TPAMI 28:1768): the
 * harmonic function on the graph, by conjugate gradients with the diagonal as preconditioner.
 *
 * @param out - (nodeCount) written inside the window only
 */
export function walkProbability(problem: WalkerProblem, scratch: WalkerScratch, out: Float32Array): void {
  const { window, fixed, seed } = problem;
  const n = gatherUnknowns(problem, scratch);
  for (let k = 0; k < window.length; k++) {
    const i = window[k]!;
    if (fixed[i]) out[i] = seed(i) ? 1 : 0;
  }
  if (n > 0) conjugateGradients(scratch, n, problem.tolerance);
  for (let a = 0; a < n; a++) {
    const i = scratch.nodes[a]!;
    out[i] = Math.min(1, Math.max(0, scratch.x[a]!));
    scratch.localOf[i] = -1;
  }
}

/** Sets up the equations of the free nodes; r holds the right-hand side. */
function gatherUnknowns(problem: WalkerProblem, scratch: WalkerScratch): number {
  const { graph, window, fixed, seed, guess } = problem;
  grow(scratch, graph, window.length);
  const { localOf, nodes, x, r, diagonal, start, target, weight } = scratch;
  let n = 0;
  for (let k = 0; k < window.length; k++) {
    const i = window[k]!;
    if (fixed[i]) continue;
    localOf[i] = n;
    nodes[n] = i;
    x[n] = guess(i);
    n++;
  }
  let arcs = 0;
  for (let a = 0; a < n; a++) {
    const i = nodes[a]!;
    let sum = 0;
    let right = 0;
    for (let arc = graph.start[i]!; arc < graph.start[i + 1]!; arc++) {
      const j = graph.target[arc]!;
      const w = problem.weight[arc]!;
      sum += w;
      const b = localOf[j]!;
      if (b >= 0) {
        target[arcs] = b;
        weight[arcs] = w;
        arcs++;
      } else if (fixed[j] && seed(j)) right += w;
    }
    start[a + 1] = arcs;
    diagonal[a] = sum > 0 ? sum : 1;
    r[a] = right;
  }
  return n;
}

function grow(scratch: WalkerScratch, graph: SurfaceGraph, n: number): void {
  if (scratch.localOf.length < graph.nodeCount) scratch.localOf = new Int32Array(graph.nodeCount).fill(-1);
  if (scratch.x.length < n) {
    const { nodes, x, r, p, q, diagonal, start } = scratch;
    letGo(nodes, x, r, p, q, diagonal, start);
    scratch.nodes = new Int32Array(n);
    scratch.x = new Float64Array(n);
    scratch.r = new Float64Array(n);
    scratch.p = new Float64Array(n);
    scratch.q = new Float64Array(n);
    scratch.diagonal = new Float64Array(n);
    scratch.start = new Int32Array(n + 1);
  }
  if (scratch.target.length < graph.target.length) {
    scratch.target = new Int32Array(graph.target.length);
    scratch.weight = new Float64Array(graph.target.length);
  }
}

/** Solves (D - W) x = r from the guess in x; x is the answer. */
function conjugateGradients(scratch: WalkerScratch, n: number, tolerance: number): void {
  const { x, r, p, q, diagonal } = scratch;
  let size = 0;
  for (let a = 0; a < n; a++) size += (r[a]! * r[a]!) / diagonal[a]!;
  multiply(scratch, n, x, q);
  let rho = 0;
  for (let a = 0; a < n; a++) {
    r[a] = r[a]! - q[a]!;
    p[a] = r[a]! / diagonal[a]!;
    rho += r[a]! * p[a]!;
  }
  const enough = tolerance * tolerance * size;
  for (let round = 0; round < MOST_ROUNDS && rho > enough; round++) {
    multiply(scratch, n, p, q);
    let curvature = 0;
    for (let a = 0; a < n; a++) curvature += p[a]! * q[a]!;
    if (curvature <= 0) return;
    const step = rho / curvature;
    let next = 0;
    for (let a = 0; a < n; a++) {
      x[a] = x[a]! + step * p[a]!;
      const left = r[a]! - step * q[a]!;
      r[a] = left;
      next += (left * left) / diagonal[a]!;
    }
    const turn = next / rho;
    for (let a = 0; a < n; a++) p[a] = r[a]! / diagonal[a]! + turn * p[a]!;
    rho = next;
  }
}

function multiply(scratch: WalkerScratch, n: number, x: Float64Array, out: Float64Array): void {
  const { diagonal, start, target, weight } = scratch;
  let arc = 0;
  for (let a = 0; a < n; a++) {
    let sum = diagonal[a]! * x[a]!;
    for (const end = start[a + 1]!; arc < end; arc++) sum -= weight[arc]! * x[target[arc]!]!;
    out[a] = sum;
  }
}
