import type { PottsProblem } from '../geometry/graph-alpha-expansion.ts';
import { letGoWalkerScratch, makeWalkerScratch, walkProbability } from '../geometry/graph-random-walker.ts';
import type { SurfaceGraph } from '../geometry/graph-surface.ts';
import { length3 } from '../geometry/length3.ts';
import { letGo } from '../geometry/let-go.ts';
import type { Steps } from '../geometry/steps.ts';
import type { CrownPrior } from './crown-prior.ts';
import { SEGMENT } from './segment-settings.ts';

/**
 * The labelling problem with random-walker probabilities as its data term beside the size prior: where folds are
 * faint the walker still knows how hard a place is to reach from the crown and from the gum.
 *
 * @param problem - the plain one: its windows and unary are used, its fixed nodes are where walks end
 * @param labels - an earlier labelling, right at the fixed nodes: where walks end, and the first guess elsewhere
 */
export function* walkerEnergy(
  graph: SurfaceGraph,
  prior: CrownPrior,
  problem: PottsProblem,
  labels: Uint8Array,
): Steps<PottsProblem> {
  const n = graph.nodeCount;
  const teeth = prior.windows.length;
  const weight = walkerWeights(graph, prior.lateral);
  const scratch = makeWalkerScratch();
  const gum = new Float32Array(n).fill(1);
  const probability = new Float32Array(n);
  const unary = new Float32Array(problem.unary.length).fill(Number.POSITIVE_INFINITY);
  for (let t = 0; t < teeth; t++) {
    yield { fraction: t / teeth, stage: 'walking from the crowns' };
    const label = t + 1;
    const window = prior.windows[t]!;
    const walk = {
      graph,
      weight,
      window,
      fixed: problem.fixed,
      seed: (i: number) => labels[i] === label,
      guess: (i: number) => (labels[i] === label ? 1 : 0),
      tolerance: SEGMENT.walkerTolerance,
    };
    walkProbability(walk, scratch, probability);
    for (let k = 0; k < window.length; k++) {
      const i = window[k]!;
      const p = probability[i]!;
      gum[i] = gum[i]! - p;
      const edge = SEGMENT.rimWeight * graph.rimMm[i]!;
      unary[label * n + i] = edge + mixed(p, problem.unary[label * n + i]! - edge, graph.area[i]!);
    }
  }
  for (let i = 0; i < n; i++) unary[i] = mixed(gum[i]!, problem.unary[i]!, graph.area[i]!);
  letGo(weight, gum, probability);
  letGoWalkerScratch(scratch);
  const { nodeCount, start, target, labelCount, windows, fixed } = problem;
  return { nodeCount, start, target, weight: problem.weight, unary, labelCount, windows, fixed };
}

function mixed(p: number, plain: number, area: number): number {
  const surprise = -Math.log(Math.max(p, SEGMENT.walkerLeast)) / SEGMENT.walkerSurpriseScale;
  // The plain unary carries area x priorWeight; here both parts are weighted by area x walkerWeight.
  return SEGMENT.walkerWeight * (area * surprise + (SEGMENT.walkerPriorShare * plain) / SEGMENT.priorWeight);
}

/** Conductance of every arc: length over distance, small across folds outside the crowns' middles. */
function walkerWeights(graph: SurfaceGraph, lateral: Float32Array): Float32Array {
  const { nodeCount, start, target, lengthMm, curvature, centroid } = graph;
  const weight = new Float32Array(target.length);
  const { fissureFrom, fissureOver, walkerFloor, walkerConcavity } = SEGMENT;
  for (let i = 0; i < nodeCount; i++) {
    for (let arc = start[i]!; arc < start[i + 1]!; arc++) {
      const j = target[arc]!;
      const apart = length3(
        centroid[3 * i]! - centroid[3 * j]!,
        centroid[3 * i + 1]! - centroid[3 * j + 1]!,
        centroid[3 * i + 2]! - centroid[3 * j + 2]!,
      );
      const mean = (lateral[i]! + lateral[j]!) / 2;
      const d = Math.min(1, Math.max(0, (mean - fissureFrom) / fissureOver));
      const open = walkerFloor + Math.exp(walkerConcavity * d * Math.min(0, curvature[arc]!));
      weight[arc] = (lengthMm[arc]! / Math.max(apart, SEGMENT.walkerLeastStepMm)) * open;
    }
  }
  return weight;
}
