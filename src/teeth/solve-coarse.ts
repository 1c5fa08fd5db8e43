import { type ExpansionScratch, expandLabels, type PottsProblem } from '../geometry/graph-alpha-expansion.ts';
import { letGo } from '../geometry/let-go.ts';
import type { Steps } from '../geometry/steps.ts';
import type { Vec3 } from '../geometry/types.ts';
import { distance, dot } from '../geometry/vec3.ts';
import { cleanLabels } from './clean-labels.ts';
import { crownEnergy } from './crown-energy.ts';
import { crownFrames, mouthScale } from './crown-frames.ts';
import { type CrownPrior, crownPrior, letGoPrior } from './crown-prior.ts';
import { firstPlaces } from './first-places.ts';
import { type HardSeeds, hardSeeds } from './hard-seeds.ts';
import type { LandedSet } from './land-clicks.ts';
import { occlusalAxis, type PlacedTooth, surfaceVotes } from './occlusal-frame.ts';
import type { TeethBase } from './prepare-teeth.ts';
import { reframedPlaces, toothAxis, visibleHeightScale } from './reframe-crowns.ts';
import { SEGMENT } from './segment-settings.ts';
import type { CrownFrame } from './types.ts';
import { walkerEnergy } from './walker-energy.ts';

/** What is known from an earlier answer; indices are those of the present teeth. */
export interface KnownState {
  readonly z: Vec3;
  /** Per tooth: where its frame belongs, and the frame its labels were solved with; null for a new tooth. */
  readonly places: readonly (PlacedTooth | null)[];
  readonly frames: readonly (CrownFrame | null)[];
  /** Per node of the coarse graph: 0 = gum, t + 1 = tooth t. */
  readonly labels: Uint8Array;
  /** Places of correction clicks that came since. */
  readonly corrections: readonly Vec3[];
}

/** The answer on the coarse graph. */
export interface CoarseResult {
  readonly labels: Uint8Array;
  readonly seeds: HardSeeds;
  readonly frames: readonly CrownFrame[];
  readonly places: readonly PlacedTooth[];
  readonly z: Vec3;
}

/**
 * Solves the coarse graph: label, place the crowns' frames anew by the labels, label again, until the frames stand
 * still; then once more with random-walker probabilities. With a known state only what changed is free: the windows
 * of teeth whose frames moved and the neighbourhood of new corrections; corrections alone move no frame.
 */
export function* solveCoarse(
  base: TeethBase,
  landed: LandedSet,
  known: KnownState | null,
  scratch: ExpansionScratch,
): Steps<CoarseResult> {
  const { teeth } = landed;
  const framesStand = known?.frames.every((frame) => frame !== null) ?? false;
  const firstZ = occlusalAxis(surfaceVotes(base.nodeAreaVector, base.graph.centroid, teeth), teeth);
  let z = known?.z ?? firstZ;
  const first = firstPlaces(base, teeth, z);
  let places: readonly PlacedTooth[] = first.map((place, t) => known?.places[t] ?? place);
  let used: readonly (CrownFrame | null)[] = known?.frames ?? teeth.map(() => null);
  let labels = known?.labels ?? null;
  const touched = known ? nodesNear(base, known.corrections) : null;
  for (let pass = 0; ; pass++) {
    const heights = labels ? visibleHeightScale(base, labels, used) : 1;
    const wanted = crownFrames(places, z, mouthScale(places), landed.missing, heights);
    const moved = wanted.map((frame, t) => !framesStand && frameMoved(used[t] ?? null, frame));
    const frames = wanted.map((frame, t) => (moved[t] ? frame : used[t]!));
    const last = framesStand || pass > SEGMENT.reframes || !moved.includes(true);
    const task = prepareTask(base, landed, frames);
    const free = labels && (last ? touched : windowNodes(task.prior, moved, labels));
    if (touched && free) addNodes(touched, free);
    labels = yield* solveTask(base, task, labels, free, last, scratch);
    if (last) return { labels, seeds: task.seeds, frames, places, z };
    z = toothAxis(base, labels, firstZ, first);
    places = reframedPlaces(base, labels, frames, first);
    used = frames;
  }
}

/** What is given while labels are sought: where the crowns are expected and what is certain. */
interface LabelTask {
  readonly prior: CrownPrior;
  readonly seeds: HardSeeds;
}

function prepareTask(base: TeethBase, landed: LandedSet, frames: readonly CrownFrame[]): LabelTask {
  const prior = crownPrior(base.graph.centroid, frames);
  const seeds = hardSeeds(base.graph, prior, landed.clicks, (face) => base.nodeOfFace?.[face] ?? face);
  return { prior, seeds };
}

/**
 * One labelling with given frames.
 *
 * @param task - its prior is of no use afterwards
 * @param earlier - labels to begin with; null at the very first
 * @param free - nodes that may change; null = all
 * @param last - the labels count, not only the frames placed by them: random walker and all rounds
 */
function* solveTask(
  base: TeethBase,
  task: LabelTask,
  earlier: Uint8Array | null,
  free: Uint8Array | null,
  last: boolean,
  scratch: ExpansionScratch,
): Steps<Uint8Array> {
  const { graph } = base;
  const { prior, seeds } = task;
  const fixed = seeds.fixed.slice();
  if (free) {
    for (let i = 0; i < fixed.length; i++) if (!free[i]) fixed[i] = 1;
  }
  const plain = crownEnergy(graph, prior, fixed);
  const labels = startLabels(prior, seeds, plain, earlier, free);
  const problem = last ? yield* walkerEnergy(graph, prior, plain, labels) : plain;
  const order = [...prior.windows.map((_, t) => t + 1), 0];
  yield* expandLabels(problem, labels, order, last ? SEGMENT.rounds : SEGMENT.draftRounds, scratch);
  cleanLabels(graph, labels, seeds.clicked);
  letGoPrior(prior);
  letGo(plain.windows[0]!, plain.unary, plain.weight, problem.unary, fixed);
  return labels;
}

/** True when a frame differs from the one in use by more than the labels would notice. */
function frameMoved(used: CrownFrame | null, wanted: CrownFrame): boolean {
  if (!used) return true;
  const turned = Math.cos(SEGMENT.frameTurnRad);
  return (
    distance(used.origin, wanted.origin) > SEGMENT.frameShiftMm ||
    dot(used.z, wanted.z) < turned ||
    dot(used.m, wanted.m) < turned ||
    Math.abs(used.limitBackMm - wanted.limitBackMm) > SEGMENT.frameShiftMm ||
    Math.abs(used.limitOnMm - wanted.limitOnMm) > SEGMENT.frameShiftMm ||
    Math.abs(used.heightMm - wanted.heightMm) > SEGMENT.frameShiftMm ||
    Math.abs(used.halfBuccolingualMm - wanted.halfBuccolingualMm) > SEGMENT.frameShiftMm
  );
}

/** Nodes that a moved frame may relabel: inside its window or on its tooth. */
function windowNodes(prior: CrownPrior, moved: readonly boolean[], labels: Uint8Array): Uint8Array {
  const free = new Uint8Array(labels.length);
  prior.windows.forEach((window, t) => {
    if (!moved[t]) return;
    for (const i of window) free[i] = 1;
  });
  for (let i = 0; i < labels.length; i++) {
    const label = labels[i]!;
    if (label > 0 && moved[label - 1]) free[i] = 1;
  }
  return free;
}

/** Nodes that new corrections may relabel. */
function nodesNear(base: TeethBase, points: readonly Vec3[]): Uint8Array {
  const { nodeCount, centroid } = base.graph;
  const near = new Uint8Array(nodeCount);
  const reach2 = SEGMENT.correctionReachMm ** 2;
  for (const p of points) {
    for (let i = 0; i < nodeCount; i++) {
      const x = centroid[3 * i]! - p[0];
      const y = centroid[3 * i + 1]! - p[1];
      const z = centroid[3 * i + 2]! - p[2];
      if (x * x + y * y + z * z < reach2) near[i] = 1;
    }
  }
  return near;
}

function addNodes(to: Uint8Array, from: Uint8Array): void {
  for (let i = 0; i < to.length; i++) if (from[i]) to[i] = 1;
}

/** Where the cut begins: certain labels, else the earlier answer, else the nearest crown within its radius. */
export function startLabels(
  prior: CrownPrior,
  seeds: HardSeeds,
  problem: PottsProblem,
  earlier: Uint8Array | null,
  free: Uint8Array | null,
): Uint8Array {
  const n = problem.nodeCount;
  const labels = new Uint8Array(n);
  for (let i = 0; i < n; i++) {
    if (earlier && free && !free[i]) labels[i] = earlier[i]!;
    else if (seeds.fixed[i]) labels[i] = seeds.label[i]!;
    else if (earlier) labels[i] = Number.isFinite(problem.unary[earlier[i]! * n + i]) ? earlier[i]! : 0;
    else labels[i] = prior.least[i]! < SEGMENT.startRho ? prior.nearest[i]! + 1 : 0;
  }
  return labels;
}
