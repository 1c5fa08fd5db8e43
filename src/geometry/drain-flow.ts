/** What is left of a flow problem; see `MaxFlow`. Changed in place. */
export interface ResidualGraph {
  readonly nodes: number;
  /** First arc of each node and, per arc, the next of the same node; -1 ends. Arc and arc ^ 1 are the two ways. */
  readonly firstArc: Int32Array;
  readonly arcNext: Int32Array;
  /** Node an arc leads to. */
  readonly head: Int32Array;
  readonly residual: Float64Array;
  /** Per node: positive from the source, negative to the sink. */
  readonly terminal: Float64Array;
}

/** Steps that an average node of the graph may be worth: below this augmenting path by path is as fast. */
const STEPS_PER_NODE = 4;
/** More waves than ever were needed on scans (15); the search for paths finds what is left after them. */
const MOST_WAVES = 30;

/**
 * Sends what can be sent between the terminals in waves, and leaves the rest to the search for augmenting paths: on a
 * fine surface many nodes with a little each lie hundreds of steps from the few that take it, and one path for each of
 * them is a time of n^1.5. In a wave every node of the side with more nodes hands what it has, and what was handed to
 * it, one step on towards the other side, the farthest nodes first, so that all paths are walked at once.
 *
 * A terminal that was moved along residual arcs changes every cut by the same amount (a reparametrization: Kolmogorov
 * and Zabih 2004), so a smallest cut of what is left is one of the whole. The steps are the exact distance labels of
 * Goldberg and Tarjan 1988 ("A new approach to the maximum-flow problem", J. ACM 35:921), found anew for each wave.
 *
 * @param steps - scratch per node; what is in it does not matter
 * @param order - scratch for all nodes
 */
export function drainFlow(graph: ResidualGraph, steps: Int32Array, order: Int32Array): void {
  for (let wave = 0; wave < MOST_WAVES; wave++) {
    const { terminal, nodes } = graph;
    let sources = 0;
    let sinks = 0;
    for (let i = 0; i < nodes; i++) {
      if (terminal[i]! > 0) sources++;
      else if (terminal[i]! < 0) sinks++;
    }
    const sign = sources >= sinks ? 1 : -1;
    const reached = measureSteps(graph, sign, Math.max(sources, sinks), steps, order);
    if (reached === 0) return;
    sendWave(graph, sign, steps, order, reached);
  }
}

/**
 * Steps over residual arcs from every node to the nearest terminal of the other side (1 = it is one itself, 0 = none
 * can be reached or nothing hangs on this node), those nodes nearest first in `order`.
 *
 * @param sign - 1 = excess of the source is sent on, -1 = want of the sink
 * @param givers - how many nodes have something to send: once all are found the search ends
 * @returns how many nodes were reached; 0 when a wave is not worth its while
 */
function measureSteps(
  { nodes, firstArc, arcNext, head, residual, terminal }: ResidualGraph,
  sign: number,
  givers: number,
  steps: Int32Array,
  order: Int32Array,
): number {
  // Want travels against the arcs.
  const towards = sign > 0 ? 1 : 0;
  let reached = 0;
  for (let i = 0; i < nodes; i++) {
    const takes = terminal[i]! * sign < 0;
    steps[i] = takes ? 1 : 0;
    if (takes) order[reached++] = i;
  }
  let found = 0;
  let pathSteps = 0;
  for (let k = 0; k < reached && found < givers; k++) {
    const j = order[k]!;
    const there = steps[j]! + 1;
    for (let arc = firstArc[j]!; arc >= 0; arc = arcNext[arc]!) {
      const i = head[arc]!;
      if (steps[i] !== 0 || residual[arc ^ towards]! <= 0) continue;
      steps[i] = there;
      order[reached++] = i;
      if (terminal[i]! * sign <= 0) continue;
      found++;
      pathSteps += there;
    }
  }
  return pathSteps > STEPS_PER_NODE * nodes ? reached : 0;
}

function sendWave(
  { firstArc, arcNext, head, residual, terminal }: ResidualGraph,
  sign: number,
  steps: Int32Array,
  order: Int32Array,
  reached: number,
): void {
  const along = sign > 0 ? 0 : 1;
  for (let k = reached - 1; k >= 0; k--) {
    const i = order[k]!;
    const next = steps[i]! - 1;
    let left = terminal[i]! * sign;
    if (left <= 0 || next === 0) continue;
    for (let arc = firstArc[i]!; arc >= 0 && left > 0; arc = arcNext[arc]!) {
      const j = head[arc]!;
      const room = residual[arc ^ along]!;
      if (steps[j] !== next || room <= 0) continue;
      const sent = Math.min(room, left);
      residual[arc ^ along] = room - sent;
      residual[arc ^ along ^ 1] = residual[arc ^ along ^ 1]! + sent;
      terminal[j] = terminal[j]! + sign * sent;
      left -= sent;
    }
    terminal[i] = sign * left;
  }
}
