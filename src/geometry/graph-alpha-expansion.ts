import { letGo } from './let-go.ts';
import { MaxFlow } from './max-flow.ts';
import type { Steps } from './steps.ts';

/**
 * A labelling problem on a graph: sum of `unary[label][node]` plus `weight` of every arc whose ends differ (Potts).
 * Labels are 0 to labelCount - 1.
 */
export interface PottsProblem {
  readonly nodeCount: number;
  /** Compressed rows; every arc appears from both ends with the same weight. */
  readonly start: Uint32Array;
  readonly target: Uint32Array;
  readonly weight: Float32Array;
  /** (labelCount x nodeCount) cost of each label at each node; infinite where the node may not take the label. */
  readonly unary: Float32Array;
  readonly labelCount: number;
  /** Nodes that may take each label at all: its window. */
  readonly windows: readonly Int32Array[];
  /** 1 = the node keeps its label. */
  readonly fixed: Uint8Array;
  /**
   * A label that touches all others, such as a background: it is expanded into one other label after another. Many
   * small cuts take far less time than a large one. What needs two other labels to give way at once is not found.
   */
  readonly background?: number;
}

/** Buffers that serve one solve after another. */
export interface ExpansionScratch {
  readonly flow: MaxFlow;
  localOf: Int32Array;
  active: Int32Array;
  /** Nodes of a window, those of one label side by side. */
  byLabel: Int32Array;
}

export function makeExpansionScratch(): ExpansionScratch {
  const none = new Int32Array(0);
  return { flow: new MaxFlow(), localOf: none, active: none, byLabel: none };
}

/** Gives its memory back. @param scratch - of no use afterwards */
export function letGoExpansionScratch({ flow, localOf, active, byLabel }: ExpansionScratch): void {
  flow.letGo();
  letGo(localOf, active, byLabel);
}

/** Energy of a labelling: what every expansion lowers or keeps. */
export function pottsEnergy(problem: PottsProblem, labels: Uint8Array): number {
  const { nodeCount, start, target, weight, unary } = problem;
  let energy = 0;
  for (let i = 0; i < nodeCount; i++) {
    energy += unary[labels[i]! * nodeCount + i]!;
    for (let arc = start[i]!; arc < start[i + 1]!; arc++) {
      const j = target[arc]!;
      if (i < j && labels[i] !== labels[j]) energy += weight[arc]!;
    }
  }
  return energy;
}

/**
 * Lowers the energy by alpha-expansion (Boykov, Veksler and Zabih 2001, IEEE TPAMI 23:1222): for one label after
 * another, the best set of nodes to take that label is a smallest cut. A label is skipped in a round when nothing
 * that bears on it was relabelled since it was last tried.
 *
 * @param labels - start, overwritten with the result
 * @param order - the labels to expand, in order
 */
export function* expandLabels(
  problem: PottsProblem,
  labels: Uint8Array,
  order: readonly number[],
  rounds: number,
  scratch: ExpansionScratch,
): Steps<void> {
  const touched = new Int32Array(problem.labelCount);
  const tried = new Int32Array(problem.labelCount).fill(-1);
  const given = new Int32Array(problem.labelCount).fill(-1);
  let clock = 0;
  for (let round = 0; round < rounds; round++) {
    let moved = 0;
    for (const [k, alpha] of order.entries()) {
      if (touched[alpha]! <= tried[alpha]!) continue;
      yield { fraction: (round + k / order.length) / rounds, stage: 'cutting along the folds' };
      clock++;
      if (alpha === problem.background)
        moved += expandBackground(problem, labels, scratch, touched, clock, given);
      else moved += expandOne(problem, labels, alpha, problem.windows[alpha]!, scratch, touched, clock);
      tried[alpha] = clock;
    }
    if (moved === 0) return;
  }
}

/**
 * Expands the background into every other label on its own, except into labels that stand as they did when it was
 * last tried.
 *
 * @param given - per label, when the background was last tried on it
 */
function expandBackground(
  problem: PottsProblem,
  labels: Uint8Array,
  scratch: ExpansionScratch,
  touched: Int32Array,
  clock: number,
  given: Int32Array,
): number {
  const background = problem.background!;
  const window = problem.windows[background]!;
  if (scratch.byLabel.length < window.length) scratch.byLabel = new Int32Array(window.length);
  const { byLabel } = scratch;
  const start = sortByLabel(window, labels, problem.fixed, byLabel);
  let changed = 0;
  for (let label = 0; label < problem.labelCount; label++) {
    const part = byLabel.subarray(start[label]!, start[label + 1]!);
    if (label === background || part.length === 0 || touched[label]! <= given[label]!) continue;
    changed += expandOne(problem, labels, background, part, scratch, touched, clock);
    given[label] = clock;
  }
  return changed;
}

/**
 * Fills in the nodes of a window that are not fixed, label by label and else in their order.
 * @returns where those of each label begin, and where the last ones end
 */
function sortByLabel(
  window: Int32Array,
  labels: Uint8Array,
  fixed: Uint8Array,
  byLabel: Int32Array,
): Uint32Array {
  const start = new Uint32Array(257);
  for (let k = 0; k < window.length; k++) {
    const i = window[k]!;
    if (!fixed[i]) start[labels[i]! + 1]!++;
  }
  for (let label = 0; label < 256; label++) start[label + 1]! += start[label]!;
  const fill = start.slice(0, 256);
  for (let k = 0; k < window.length; k++) {
    const i = window[k]!;
    if (!fixed[i]) byLabel[fill[labels[i]!]!++] = i;
  }
  return start;
}

/** One expansion; returns how many nodes took the label and stamps the labels that gained or lost any. */
function expandOne(
  problem: PottsProblem,
  labels: Uint8Array,
  alpha: number,
  window: ArrayLike<number>,
  scratch: ExpansionScratch,
  touched: Int32Array,
  clock: number,
): number {
  const { nodeCount, fixed } = problem;
  if (scratch.localOf.length < nodeCount) {
    scratch.localOf = new Int32Array(nodeCount).fill(-1);
    scratch.active = new Int32Array(nodeCount);
  }
  const { localOf, active, flow } = scratch;
  let n = 0;
  for (let k = 0; k < window.length; k++) {
    const i = window[k]!;
    if (fixed[i] || labels[i] === alpha) continue;
    localOf[i] = n;
    active[n++] = i;
  }
  if (n === 0) return 0;
  flow.reset(n);
  buildCut(problem, labels, alpha, scratch, n);
  flow.solve();
  let changed = 0;
  for (let a = 0; a < n; a++) {
    const i = active[a]!;
    localOf[i] = -1;
    if (!flow.onSinkSide(a)) continue;
    touched[labels[i]!] = clock;
    labels[i] = alpha;
    changed++;
  }
  if (changed > 0) touched[alpha] = clock;
  return changed;
}

/**
 * The cut of one expansion by the construction of Kolmogorov and Zabih 2004 ("What energy functions can be minimized
 * via graph cuts?", IEEE TPAMI 26:147): no auxiliary nodes. Source side = keep the label, sink side = take alpha.
 * A neighbour outside the window stands still, so its arc is a plain cost of node i.
 */
function buildCut(
  problem: PottsProblem,
  labels: Uint8Array,
  alpha: number,
  scratch: ExpansionScratch,
  n: number,
): void {
  const { nodeCount, start, target, weight, unary } = problem;
  const { localOf, active, flow } = scratch;
  for (let a = 0; a < n; a++) {
    const i = active[a]!;
    const own = labels[i]!;
    let keep = unary[own * nodeCount + i]!;
    let take = unary[alpha * nodeCount + i]!;
    for (let arc = start[i]!; arc < start[i + 1]!; arc++) {
      const j = target[arc]!;
      const w = weight[arc]!;
      const b = localOf[j]!;
      if (b < 0) {
        const there = labels[j]!;
        if (there !== own) keep += w;
        if (there !== alpha) take += w;
      } else if (a < b) {
        if (labels[j] === own) flow.addEdge(a, b, w, w);
        else {
          // E(keep, keep) = E(keep, take) = E(take, keep) = w, E(take, take) = 0.
          flow.addEdge(a, b, w, 0);
          flow.addTerminal(b, -w, 0);
        }
      }
    }
    flow.addTerminal(a, take, keep);
  }
}
