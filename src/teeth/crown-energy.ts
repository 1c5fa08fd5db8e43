import type { PottsProblem } from '../geometry/graph-alpha-expansion.ts';
import type { SurfaceGraph } from '../geometry/graph-surface.ts';
import type { CrownPrior } from './crown-prior.ts';
import { SEGMENT } from './segment-settings.ts';

/**
 * Weight of every arc: short and cheap along folds, dear on flat and convex ground. Concavity near a crown's axis is
 * a fissure, not a border, and counts nothing there.
 *
 * @param atWeb - 1 = node beside a web between two teeth, where deep folds are cheaper; null = none is
 */
export function borderWeights(
  graph: SurfaceGraph,
  lateral: Float32Array,
  atWeb: Uint8Array | null = null,
): Float32Array {
  const { nodeCount, start, target, lengthMm, curvature } = graph;
  const weight = new Float32Array(target.length);
  const { fissureFrom, fissureOver, borderFloor, webFloor, curvatureScale } = SEGMENT;
  for (let i = 0; i < nodeCount; i++) {
    const own = lateral[i]!;
    for (let arc = start[i]!; arc < start[i + 1]!; arc++) {
      const k = curvature[arc]!;
      let share = 1;
      if (k < 0) {
        const mean = (own + lateral[target[arc]!]!) / 2;
        const d = Math.min(1, Math.max(0, (mean - fissureFrom) / fissureOver));
        const floor = atWeb?.[i] && atWeb[target[arc]!] ? webFloor : borderFloor;
        share = floor + (1 - floor) * Math.exp((d * k) / curvatureScale);
      }
      weight[arc] = lengthMm[arc]! * share;
    }
  }
  return weight;
}

/**
 * The labelling problem: gum is label 0, tooth t is label t + 1. A tooth that reaches the rim of the scan pays for that
 * rim as for a border on flat ground: else a strip of gum above the edge would cost a tooth nothing.
 *
 * @param power - of rho in the size prior
 * @param atWeb - see {@link borderWeights}
 */
export function crownEnergy(
  graph: SurfaceGraph,
  prior: CrownPrior,
  fixed: Uint8Array,
  power: number = SEGMENT.priorPower,
  atWeb: Uint8Array | null = null,
): PottsProblem {
  const n = graph.nodeCount;
  const teeth = prior.windows.length;
  const unary = new Float32Array((teeth + 1) * n).fill(Number.POSITIVE_INFINITY);
  for (let i = 0; i < n; i++) {
    const inside = Math.max(0, 1 - prior.least[i]! / SEGMENT.innerRho);
    unary[i] = graph.area[i]! * SEGMENT.priorWeight * (SEGMENT.gumCost + SEGMENT.innerGumCost * inside);
  }
  for (let t = 0; t < teeth; t++) {
    const window = prior.windows[t]!;
    const rho = prior.rho[t]!;
    for (let k = 0; k < window.length; k++) {
      const i = window[k]!;
      const r = rho[k]!;
      const size = graph.area[i]! * SEGMENT.priorWeight * Math.min(r ** power, SEGMENT.priorCap);
      unary[(t + 1) * n + i] = size + SEGMENT.rimWeight * graph.rimMm[i]!;
    }
  }
  const everywhere = new Int32Array(n);
  for (let i = 0; i < n; i++) everywhere[i] = i;
  return {
    nodeCount: n,
    start: graph.start,
    target: graph.target,
    weight: borderWeights(graph, prior.lateral, atWeb),
    unary,
    labelCount: teeth + 1,
    windows: [everywhere, ...prior.windows],
    fixed,
  };
}
