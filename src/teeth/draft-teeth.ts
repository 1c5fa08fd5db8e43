import { expandLabels, makeExpansionScratch } from '../geometry/graph-alpha-expansion.ts';
import { partGraph, type SurfaceGraph } from '../geometry/graph-surface.ts';
import { runAtOnce } from '../geometry/steps.ts';
import { distance } from '../geometry/vec3.ts';
import { cleanLabels } from './clean-labels.ts';
import { crownEnergy } from './crown-energy.ts';
import { crownFrames, mouthScale } from './crown-frames.ts';
import { crownPrior } from './crown-prior.ts';
import { firstPlaces } from './first-places.ts';
import { hardSeeds } from './hard-seeds.ts';
import { earlierAnswer, knownState, numberOfLabel } from './known-state.ts';
import { type LandedSet, landClicks } from './land-clicks.ts';
import { frameAround, occlusalAxis, surfaceVotes } from './occlusal-frame.ts';
import type { TeethBase } from './prepare-teeth.ts';
import { correctedFaces } from './refine-band.ts';
import { visibleHeightScale } from './reframe-crowns.ts';
import { SEGMENT } from './segment-settings.ts';
import { type KnownState, startLabels } from './solve-coarse.ts';
import type { ClickSet, CrownFrame, Segmentation } from './types.ts';

/**
 * A first answer to added clicks, for the eye, until `segmentTeeth` has settled them: the crowns that are known keep
 * their frames, only the neighbourhood of the new clicks is cut, once, and faces take the labels of their groups.
 * What the earlier answer says elsewhere stays as it is, to the face. Nothing is measured on a draft and nothing
 * remembered of it, so it has no say in the settled labels.
 *
 * @param base - from `prepareTeeth`
 * @param previous - the last settled answer; null before the first
 * @returns null when there is no earlier answer to build on, as clicks were moved or taken away since
 * @throws ArchgapError as `segmentTeeth`
 */
export function draftTeeth(
  base: TeethBase,
  clicks: ClickSet,
  previous: Segmentation | null,
): Segmentation | null {
  const landed = landClicks(base, clicks);
  const earlier = earlierAnswer(previous, clicks);
  if (previous && !earlier) return null;
  const known = earlier && knownState(earlier, landed);
  const z =
    known?.z ??
    occlusalAxis(surfaceVotes(base.nodeAreaVector, base.graph.centroid, landed.teeth), landed.teeth);
  const frames = draftFrames(base, landed, known, z);
  const part = cutPart(base, landed, known, frames);
  const numbers = numberOfLabel(landed);
  const labels = earlier?.labels.slice() ?? new Uint8Array(base.fabric.adjacency.length / 3);
  for (let k = 0; k < part.free; k++) {
    const i = part.nodes[k]!;
    if (part.labels[k] === (known?.labels[i] ?? 0)) continue;
    paintNode(base, labels, i, numbers[part.labels[k]!]!);
  }
  for (const [f, label] of correctedFaces(base, landed.clicks)) labels[f] = numbers[label]!;
  return {
    labels,
    frame: previous?.frame ?? frameAround(z, landed.teeth, clicks.jaw, [0, 0, 0]),
    frameBasis: previous?.frameBasis ?? 'surface',
    warnings: previous?.warnings ?? [],
  };
}

/** Known frames as they are; those of new teeth from their clicks, their neighbours and the mouth's gum line. */
function draftFrames(
  base: TeethBase,
  landed: LandedSet,
  known: KnownState | null,
  z: CrownFrame['z'],
): CrownFrame[] {
  const places = landed.teeth.map((tooth, t) => known?.places[t] ?? firstPlaces(base, [tooth], z)[0]!);
  const heights = known ? visibleHeightScale(base, known.labels, known.frames) : 1;
  const wanted = crownFrames(places, z, mouthScale(places), landed.missing, heights);
  return wanted.map((frame, t) => known?.frames[t] ?? frame);
}

/** The labels around the new clicks. */
interface CutPart {
  /** Nodes of the coarse graph; the first `free` of them were decided, the others are their neighbours. */
  readonly nodes: Int32Array;
  readonly free: number;
  /** Label of each of `nodes`. */
  readonly labels: Uint8Array;
}

function cutPart(
  base: TeethBase,
  landed: LandedSet,
  known: KnownState | null,
  frames: readonly CrownFrame[],
): CutPart {
  const isNew = frames.map((_, t) => !known?.frames[t]);
  const { nodes, free, local } = nodesOfPart(
    base.graph,
    frames.filter((_, t) => isNew[t]),
    known,
  );
  const graph = partGraph(base.graph, nodes, local);
  const prior = crownPrior(graph.centroid, frames);
  const seeds = hardSeeds(graph, prior, landed.clicks, (face) => local[base.nodeOfFace?.[face] ?? face]!);
  const fixed = seeds.fixed.slice().fill(1, free);
  const problem = crownEnergy(graph, prior, fixed);
  const inPart = new Uint8Array(nodes.length).fill(1, 0, free);
  const before = known && Uint8Array.from(nodes, (i) => known.labels[i]!);
  const labels = startLabels(prior, seeds, problem, before, inPart);
  const corrected = landed.clicks.filter(
    (click) => click.label > 0 && known?.corrections.some((point) => distance(point, click.point) === 0),
  );
  const wanted = new Set([
    ...isNew.flatMap((is, t) => (is ? [t + 1] : [])),
    ...corrected.map((click) => click.label),
  ]);
  runAtOnce(expandLabels(problem, labels, [...wanted, 0], SEGMENT.draftRounds, makeExpansionScratch()));
  // A neighbour's crown that reaches out of the part holds no click within it and is whole all the same.
  const anchored = seeds.clicked.slice().fill(1, free);
  cleanLabels(graph, labels, anchored);
  return { nodes, free, labels };
}

/** Nodes inside the windows of new crowns and near corrections, and after them their neighbours. */
function nodesOfPart(
  graph: SurfaceGraph,
  frames: readonly CrownFrame[],
  known: KnownState | null,
): { nodes: Int32Array; free: number; local: Int32Array } {
  const { centroid, nodeCount, start, target } = graph;
  const local = new Int32Array(nodeCount).fill(-1);
  const nodes: number[] = [];
  const add = (i: number): void => {
    if (local[i] !== -1) return;
    local[i] = nodes.length;
    nodes.push(i);
  };
  for (const window of crownPrior(centroid, frames).windows) for (const i of window) add(i);
  for (const point of known?.corrections ?? []) {
    for (let i = 0; i < nodeCount; i++) {
      const x = centroid[3 * i]! - point[0];
      const y = centroid[3 * i + 1]! - point[1];
      const z = centroid[3 * i + 2]! - point[2];
      if (x * x + y * y + z * z < SEGMENT.correctionReachMm ** 2) add(i);
    }
  }
  const free = nodes.length;
  for (let k = 0; k < free; k++) {
    const i = nodes[k]!;
    for (let arc = start[i]!; arc < start[i + 1]!; arc++) add(target[arc]!);
  }
  return { nodes: Int32Array.from(nodes), free, local };
}

function paintNode({ facesOfNode }: TeethBase, labels: Uint8Array, i: number, number: number): void {
  if (!facesOfNode) {
    labels[i] = number;
    return;
  }
  for (let k = facesOfNode.start[i]!; k < facesOfNode.start[i + 1]!; k++)
    labels[facesOfNode.faces[k]!] = number;
}
