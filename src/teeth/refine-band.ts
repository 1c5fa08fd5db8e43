import { type ExpansionScratch, expandLabels, type PottsProblem } from '../geometry/graph-alpha-expansion.ts';
import { faceGraph, type SurfaceGraph } from '../geometry/graph-surface.ts';
import { IndexList } from '../geometry/index-list.ts';
import { letGo } from '../geometry/let-go.ts';
import type { Steps } from '../geometry/steps.ts';
import { writeCentroid } from '../geometry/triangle-geometry.ts';
import type { Vec3 } from '../geometry/types.ts';
import { crownEnergy } from './crown-energy.ts';
import { crownPrior, letGoPrior } from './crown-prior.ts';
import { facesAtWebs } from './faces-at-webs.ts';
import type { LandedClick } from './hard-seeds.ts';
import type { TeethBase } from './prepare-teeth.ts';
import { SEGMENT } from './segment-settings.ts';
import type { CrownFrame } from './types.ts';

export interface BandInput {
  readonly base: TeethBase;
  /** Per face, changed in place: the coarse result on entry, the refined one on return. */
  readonly labels: Uint8Array;
  /** Per node of the coarse graph: 1 = certain, its faces are not decided again. */
  readonly coarseFixed: Uint8Array;
  readonly frames: readonly CrownFrame[];
  readonly clicks: readonly LandedClick[];
  /** 1 = the face may be decided again; null = all. */
  readonly region: Uint8Array | null;
  readonly scratch: ExpansionScratch;
}

/** Decides the faces near every border again, each on its own, with everything else standing still. */
export function* refineBand(input: BandInput): Steps<void> {
  const { base, labels, coarseFixed, frames, clicks, region, scratch } = input;
  const nodeOfFace = base.nodeOfFace;
  if (!nodeOfFace) return;
  const settled = correctedFaces(base, clicks);
  for (const [f, label] of settled) labels[f] = label;
  const near = facesNearBorders(base, labels, region);
  const node = new Int32Array(labels.length).fill(-1);
  const faces = new IndexList();
  for (let i = 0; i < near.length; i++) {
    const f = near[i]!;
    if (coarseFixed[nodeOfFace[f]!] || settled.has(f)) continue;
    node[f] = faces.length;
    faces.push(f);
  }
  letGo(near);
  const free = faces.length;
  if (free === 0) return;
  addNeighbours(base.fabric.adjacency, faces, node);
  const list = faces.toArray();
  faces.letGo();
  const graph = faceGraph(base.fabric, list, node);
  const prior = crownPrior(graph.centroid, frames);
  const fixed = new Uint8Array(list.length).fill(1, free);
  const beside = facesWithin(base, facesAtWebs(base.fabric, labels, frames), SEGMENT.webReachMm, region);
  const atWeb = new Uint8Array(list.length);
  for (let i = 0; i < beside.length; i++) {
    const k = node[beside[i]!]!;
    if (k !== -1) atWeb[k] = 1;
  }
  letGo(beside, node);
  const plain = crownEnergy(graph, prior, fixed, SEGMENT.bandPriorPower, atWeb);
  const part = new Uint8Array(list.length);
  for (let k = 0; k < list.length; k++) {
    const label = labels[list[k]!]!;
    // A face whose tooth does not reach this far (the label came with its super-face) starts as gum.
    part[k] = k < free && plain.unary[label * list.length + k] === Number.POSITIVE_INFINITY ? 0 : label;
  }
  const { nodeCount, start, target, weight, unary, labelCount } = plain;
  // What comes now is the highest memory of all: what only the energy was made from is gone before.
  letGoPrior(prior);
  letGo(atWeb, graph.lengthMm, graph.curvature, graph.area, graph.rimMm);
  const windows = bandWindows(graph, plain, part, free);
  letGo(graph.centroid);
  const problem = { nodeCount, start, target, weight, unary, labelCount, windows, fixed, background: 0 };
  const teeth = frames.map((_, t) => t + 1);
  yield* expandLabels(problem, part, [...teeth, 0], SEGMENT.bandRounds, scratch);
  for (let k = 0; k < free; k++) labels[list[k]!] = part[k]!;
  letGo(list, part, fixed, ...windows, plain.unary, plain.weight, graph.start, graph.target);
}

/** Adds the neighbours of all faces in the list that are not in it yet. @param node - per face, its place in the list; -1 */
function addNeighbours(adjacency: Int32Array, faces: IndexList, node: Int32Array): void {
  const free = faces.length;
  for (let k = 0; k < free; k++) {
    const f = faces.values[k]!;
    for (let h = 3 * f; h < 3 * f + 3; h++) {
      const g = adjacency[h]!;
      if (g < 0 || node[g] !== -1) continue;
      node[g] = faces.length;
      faces.push(g);
    }
  }
}

/**
 * Where each label may spread: a border moves within the band, so a label reaches the faces within a band's width of
 * its own and no others. Far smaller than the crowns' windows, and the cut of a label costs what its window costs.
 *
 * @param part - labels at the start
 * @param free - nodes from here on stand still
 */
function bandWindows(
  graph: SurfaceGraph,
  problem: PottsProblem,
  part: Uint8Array,
  free: number,
): Int32Array[] {
  const { start, target, centroid } = graph;
  const n = problem.nodeCount;
  const distance = new Float32Array(n);
  const reachedFor = new Int32Array(n).fill(-1);
  const borders = problem.windows.map(() => new IndexList());
  const members = problem.windows.map(() => new IndexList());
  for (let i = 0; i < n; i++) {
    const own = part[i]!;
    if (i < free) members[own]!.push(i);
    for (let arc = start[i]!; arc < start[i + 1]!; arc++) {
      if (part[target[arc]!] === own) continue;
      borders[own]!.push(i);
      break;
    }
  }
  const reached = { distance, for: reachedFor };
  const windows = members.map((window, label) => {
    const unary = problem.unary.subarray(label * n, (label + 1) * n);
    spreadLabel({ start, target, centroid, part, unary }, label, borders[label]!, free, reached, window);
    const nodes = window.toArray();
    window.letGo();
    return nodes;
  });
  letGo(distance, reachedFor);
  return windows;
}

/**
 * Adds to the window of a label the free faces within the band's width of its border, along the arcs. A function of
 * the module and not of the one above, which would be compiled anew with every scan.
 *
 * @param border - used up: its memory is given back
 * @param reached - per node, mm from the border, and of which label; the label's own so far is overwritten
 */
function spreadLabel(
  {
    start,
    target,
    centroid,
    part,
    unary,
  }: Pick<SurfaceGraph, 'start' | 'target' | 'centroid'> & {
    readonly part: Uint8Array;
    readonly unary: Float32Array;
  },
  label: number,
  border: IndexList,
  free: number,
  reached: { readonly distance: Float32Array; readonly for: Int32Array },
  window: IndexList,
): void {
  const { distance, for: reachedFor } = reached;
  for (let k = 0; k < border.length; k++) {
    distance[border.values[k]!] = 0;
    reachedFor[border.values[k]!] = label;
  }
  let queue = border;
  let following = new IndexList();
  while (queue.length > 0) {
    following.length = 0;
    for (let k = 0; k < queue.length; k++) {
      const i = queue.values[k]!;
      for (let arc = start[i]!; arc < start[i + 1]!; arc++) {
        const j = target[arc]!;
        if (j >= free || part[j] === label || unary[j] === Number.POSITIVE_INFINITY) continue;
        const dx = centroid[3 * j]! - centroid[3 * i]!;
        const dy = centroid[3 * j + 1]! - centroid[3 * i + 1]!;
        const dz = centroid[3 * j + 2]! - centroid[3 * i + 2]!;
        const there = Math.fround(distance[i]! + Math.sqrt(dx * dx + dy * dy + dz * dz));
        const isNew = reachedFor[j] !== label;
        if (there >= SEGMENT.bandMm || (!isNew && there >= distance[j]!)) continue;
        if (isNew) window.push(j);
        reachedFor[j] = label;
        distance[j] = there;
        following.push(j);
      }
    }
    [queue, following] = [following, queue];
  }
  queue.letGo();
  following.letGo();
}

/** The faces under correction clicks and their labels, newest over oldest: nothing changes them any more. */
export function correctedFaces(base: TeethBase, clicks: readonly LandedClick[]): Map<number, number> {
  const corrected = new Map<number, number>();
  for (const click of clicks) {
    if (!click.correction) continue;
    for (const f of faceDisk(base, click.face, click.point, SEGMENT.correctionDiskMm)) {
      corrected.set(f, click.label);
    }
  }
  return corrected;
}

/** Faces within a radius of a point that hang together with the face under it. */
function faceDisk(base: TeethBase, face: number, point: Vec3, radiusMm: number): number[] {
  const { adjacency, mesh } = base.fabric;
  const middle = new Float32Array(3);
  const seen = new Set([face]);
  const disk = [face];
  for (let k = 0; k < disk.length; k++) {
    const f = disk[k]!;
    for (let h = 3 * f; h < 3 * f + 3; h++) {
      const g = adjacency[h]!;
      if (g < 0 || seen.has(g)) continue;
      writeCentroid(mesh, g, middle);
      const d = Math.hypot(middle[0]! - point[0], middle[1]! - point[1], middle[2]! - point[2]);
      if (d > radiusMm) continue;
      seen.add(g);
      disk.push(g);
    }
  }
  return disk;
}

/** Faces whose path over the surface to a border between labels is shorter than the band. */
function facesNearBorders(base: TeethBase, labels: Uint8Array, region: Uint8Array | null): Int32Array {
  const { adjacency } = base.fabric;
  const seeds = new IndexList();
  for (let f = 0; f < labels.length; f++) {
    if (region && !region[f]) continue;
    for (let h = 3 * f; h < 3 * f + 3; h++) {
      const g = adjacency[h]!;
      if (g < 0 || labels[g] === labels[f]) continue;
      seeds.push(f);
      break;
    }
  }
  const list = seeds.toArray();
  seeds.letGo();
  const near = facesWithin(base, list, SEGMENT.bandMm, region);
  letGo(list);
  return near;
}

/** Faces whose path over the surface to one of the given faces is shorter than the reach, those first. */
function facesWithin(
  base: TeethBase,
  seeds: ArrayLike<number>,
  reachMm: number,
  region: Uint8Array | null,
): Int32Array {
  const { adjacency, mesh } = base.fabric;
  const [from, to] = [new Float32Array(3), new Float32Array(3)];
  const distance = new Float32Array(adjacency.length / 3).fill(Number.POSITIVE_INFINITY);
  const found = new IndexList();
  let queue = new IndexList();
  let following = new IndexList();
  for (let k = 0; k < seeds.length; k++) {
    found.push(seeds[k]!);
    queue.push(seeds[k]!);
    distance[seeds[k]!] = 0;
  }
  while (queue.length > 0) {
    following.length = 0;
    for (let k = 0; k < queue.length; k++) {
      const f = queue.values[k]!;
      const here = distance[f]!;
      writeCentroid(mesh, f, from);
      for (let h = 3 * f; h < 3 * f + 3; h++) {
        const g = adjacency[h]!;
        if (g < 0 || (region && !region[g])) continue;
        writeCentroid(mesh, g, to);
        const dx = to[0]! - from[0]!;
        const dy = to[1]! - from[1]!;
        const dz = to[2]! - from[2]!;
        const there = Math.fround(here + Math.sqrt(dx * dx + dy * dy + dz * dz));
        if (there >= reachMm || there >= distance[g]!) continue;
        if (distance[g] === Number.POSITIVE_INFINITY) found.push(g);
        distance[g] = there;
        following.push(g);
      }
    }
    [queue, following] = [following, queue];
  }
  letGo(distance);
  queue.letGo();
  following.letGo();
  const faces = found.toArray();
  found.letGo();
  return faces;
}
