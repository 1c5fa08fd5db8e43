import { type ExpansionScratch, expandLabels, type PottsProblem } from '../geometry/graph-alpha-expansion.ts';
import type { Vec3 } from '../geometry/types.ts';
import { distance, dot } from '../geometry/vec3.ts';
import { cleanLabels } from './clean-labels.ts';
import { crownEnergy } from './crown-energy.ts';
import { crownFrames, mouthScale } from './crown-frames.ts';
import { type CrownPrior, crownPrior } from './crown-prior.ts';
import { firstPlaces } from './first-places.ts';
import { type HardSeeds, hardSeeds } from './hard-seeds.ts';
import type { LandedSet } from './land-clicks.ts';
import { occlusalAxis, type PlacedTooth, surfaceVotes } from './occlusal-frame.ts';
import type { TeethBase } from './prepare-teeth.ts';
import { reframedPlaces, toothAxis } from './reframe-crowns.ts';
import { SEGMENT } from './segment-settings.ts';
import type { CrownFrame } from './types.ts';

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
 * still. With a known state only what changed is free: the windows of teeth whose frames moved and the
 * neighbourhood of new corrections; corrections alone move no frame.
 */
export function solveCoarse(
  base: TeethBase,
  landed: LandedSet,
  known: KnownState | null,
  scratch: ExpansionScratch,
): CoarseResult {
  const { teeth } = landed;
  const correctionsOnly = known?.frames.every((frame) => frame !== null) ?? false;
  let z = known?.z ?? occlusalAxis(surfaceVotes(base.scan, teeth), teeth);
  const first = firstPlaces(base, teeth, z);
  let places: readonly PlacedTooth[] = first.map((place, t) => known?.places[t] ?? place);
  let used: readonly (CrownFrame | null)[] = known?.frames ?? teeth.map(() => null);
  let labels = known?.labels ?? null;
  for (let pass = 0; ; pass++) {
    const wanted = crownFrames(places, z, mouthScale(places), landed.missing);
    const dirty = wanted.map((frame, t) => !correctionsOnly && frameMoved(used[t] ?? null, frame));
    const frames = wanted.map((frame, t) => (dirty[t] ? frame : used[t]!));
    const region = labels && {
      dirty,
      corrections: pass === 0 ? (known?.corrections ?? []) : [],
    };
    const rounds = labels ? SEGMENT.rounds : SEGMENT.draftRounds;
    const solved = solvePass(base, landed, frames, labels, region, rounds, scratch);
    labels = solved.labels;
    if (correctionsOnly) return { ...solved, frames, places, z };
    z = toothAxis(base, labels, z);
    places = reframedPlaces(base, labels, frames, first);
    used = frames;
    const next = crownFrames(places, z, mouthScale(places), landed.missing);
    const settled = next.every((frame, t) => !frameMoved(frames[t]!, frame));
    if (settled || pass === SEGMENT.reframes) return { ...solved, frames, places, z };
  }
}

/** One labelling with given frames. `region` null: everything is free. */
function solvePass(
  base: TeethBase,
  landed: LandedSet,
  frames: readonly CrownFrame[],
  earlier: Uint8Array | null,
  region: { readonly dirty: readonly boolean[]; readonly corrections: readonly Vec3[] } | null,
  rounds: number,
  scratch: ExpansionScratch,
): { labels: Uint8Array; seeds: HardSeeds } {
  const { graph } = base;
  const prior = crownPrior(graph.centroid, frames);
  const seeds = hardSeeds(graph, prior, landed.clicks, (face) => base.nodeOfFace?.[face] ?? face);
  const fixed = seeds.fixed.slice();
  const free = earlier && region ? freeNodes(base, prior, earlier, region.dirty, region.corrections) : null;
  if (free) {
    for (let i = 0; i < fixed.length; i++) if (!free[i]) fixed[i] = 1;
  }
  const problem = crownEnergy(graph, prior, fixed);
  const labels = startLabels(prior, seeds, problem, earlier, free);
  expandLabels(problem, labels, [...frames.map((_, t) => t + 1), 0], rounds, scratch);
  cleanLabels(graph, labels, seeds.clicked);
  return { labels, seeds };
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
    Math.abs(used.halfBuccolingualMm - wanted.halfBuccolingualMm) > SEGMENT.frameShiftMm
  );
}

/** Nodes that a change may relabel: inside the windows of moved frames, on their teeth, near new corrections. */
function freeNodes(
  base: TeethBase,
  prior: CrownPrior,
  labels: Uint8Array,
  dirty: readonly boolean[],
  corrections: readonly Vec3[],
): Uint8Array {
  const { nodeCount, centroid } = base.graph;
  const free = new Uint8Array(nodeCount);
  for (let t = 0; t < dirty.length; t++) {
    if (!dirty[t]) continue;
    for (const i of prior.windows[t]!) free[i] = 1;
  }
  const reach2 = SEGMENT.correctionReachMm ** 2;
  for (let i = 0; i < nodeCount; i++) {
    const label = labels[i]!;
    if (label > 0 && dirty[label - 1]) free[i] = 1;
    for (const p of corrections) {
      const x = centroid[3 * i]! - p[0];
      const y = centroid[3 * i + 1]! - p[1];
      const z = centroid[3 * i + 2]! - p[2];
      if (x * x + y * y + z * z < reach2) free[i] = 1;
    }
  }
  return free;
}

/** Where the cut begins: certain labels, else the earlier answer, else the nearest crown within its radius. */
function startLabels(
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
