import {
  type ExpansionScratch,
  expandLabels,
  makeExpansionScratch,
} from '../geometry/graph-alpha-expansion.ts';
import { nearestOnMesh } from '../geometry/nearest-on-mesh.ts';
import type { Vec3 } from '../geometry/types.ts';
import { type CleanableGraph, cleanLabels } from './clean-labels.ts';
import { CLICK_REACH_MM, checkClickSet, clickOffSurface } from './clicks.ts';
import { crownEnergy } from './crown-energy.ts';
import { type CrownFrame, crownFrames, inArchOrder, mouthScale } from './crown-frames.ts';
import { crownPrior } from './crown-prior.ts';
import { type HardSeeds, hardSeeds, type LandedClick } from './hard-seeds.ts';
import {
  firstClicks,
  frameAround,
  noClicks,
  occlusalAxis,
  type PlacedTooth,
  surfaceVotes,
} from './occlusal-frame.ts';
import type { TeethBase } from './prepare-teeth.ts';
import { refineBand } from './refine-band.ts';
import { reframedPlaces, toothAxis } from './reframe-crowns.ts';
import { SEGMENT } from './segment-settings.ts';
import type { ClickSet, Segmentation } from './types.ts';

/** The clicks of a set on the scan, the teeth in arch order. */
interface LandedSet {
  readonly teeth: readonly PlacedTooth[];
  readonly clicks: readonly LandedClick[];
}

/**
 * Tells the teeth of a scan apart from one click each; gum is found without clicks. A multi-label graph cut over the
 * folds of the surface with a prior of each crown's size, first on super-faces, then face by face along the borders
 * (docs/decisions/0002-segmentation.md). Deterministic.
 *
 * @param base - from `prepareTeeth`
 * @param previous - an earlier answer for this scan: only what the change of clicks touches is solved again
 * @throws ArchgapError `NO_CLICKS`, `TOOTH_WRONG_JAW`, `MISSING_TOOTH_CLICKED`, `CLICK_OFF_SURFACE`,
 *   `TWO_TEETH_ONE_PLACE`, `TOOTH_CLICKED_TWICE`
 */
export function segmentTeeth(
  base: TeethBase,
  clicks: ClickSet,
  previous: Segmentation | null = null,
): Segmentation {
  void previous;
  const landed = landClicks(base, clicks);
  const scratch = makeExpansionScratch();
  const coarse = solveCoarse(base, landed, scratch);
  const faceLabels = projectLabels(base, coarse.labels);
  refineBand({
    base,
    labels: faceLabels,
    coarseFixed: coarse.seeds.fixed,
    frames: coarse.frames,
    clicks: landed.clicks,
    region: null,
    scratch,
  });
  const labels = new Uint8Array(faceLabels.length);
  for (let f = 0; f < labels.length; f++) {
    const label = faceLabels[f]!;
    if (label > 0) labels[f] = landed.teeth[label - 1]!.tooth;
  }
  const frame = frameAround(coarse.z, landed.teeth, clicks.jaw, [0, 0, 0]);
  return { labels, frame, warnings: [] };
}

function landClicks(base: TeethBase, set: ClickSet): LandedSet {
  checkClickSet(set);
  const points = set.clicks.map((click) => click.point);
  const places = nearestOnMesh(base.scan, points, CLICK_REACH_MM);
  const first = firstClicks(set);
  if (first.length === 0) throw noClicks();
  const order = inArchOrder(first).map((tooth) => tooth.tooth);
  const seen = new Set<number>();
  const teeth: PlacedTooth[] = [];
  const clicks = set.clicks.map((click, k): LandedClick => {
    const place = places[k];
    if (!place) throw clickOffSurface(click);
    const { point, triangle: face } = place;
    if (click.tooth === 'gum') return { label: 0, point, face, correction: true };
    const correction = seen.has(click.tooth);
    if (!correction) teeth.push({ tooth: click.tooth, point });
    seen.add(click.tooth);
    return { label: order.indexOf(click.tooth) + 1, point, face, correction };
  });
  return { teeth: inArchOrder(teeth), clicks };
}

interface CoarseResult {
  readonly labels: Uint8Array;
  readonly seeds: HardSeeds;
  readonly frames: readonly CrownFrame[];
  readonly z: Vec3;
}

function solveCoarse(base: TeethBase, landed: LandedSet, scratch: ExpansionScratch): CoarseResult {
  const { graph } = base;
  let z = occlusalAxis(surfaceVotes(base.scan, landed.teeth), landed.teeth);
  let frames = crownFrames(landed.teeth, z, mouthScale(landed.teeth));
  for (let pass = 0; ; pass++) {
    const prior = crownPrior(graph.centroid, frames);
    const seeds = hardSeeds(graph, prior, landed.clicks, (face) => base.nodeOfFace?.[face] ?? face);
    const problem = crownEnergy(graph, prior, seeds.fixed);
    const labels = new Uint8Array(graph.nodeCount);
    for (let i = 0; i < labels.length; i++) {
      if (seeds.fixed[i]) labels[i] = seeds.label[i]!;
      else labels[i] = prior.least[i]! < SEGMENT.startRho ? prior.nearest[i]! + 1 : 0;
    }
    expandLabels(problem, labels, [...frames.map((_, t) => t + 1), 0], SEGMENT.rounds, scratch);
    cleanLabels(graph as CleanableGraph, labels, seeds.clicked);
    if (pass === SEGMENT.reframes) return { labels, seeds, frames, z };
    z = toothAxis(base, labels, z);
    const places = reframedPlaces(base, labels, frames, landed.teeth);
    frames = crownFrames(places, z, mouthScale(places));
  }
}

function projectLabels(base: TeethBase, nodeLabels: Uint8Array): Uint8Array {
  const { nodeOfFace } = base;
  if (!nodeOfFace) return nodeLabels.slice();
  const labels = new Uint8Array(nodeOfFace.length);
  for (let f = 0; f < labels.length; f++) labels[f] = nodeLabels[nodeOfFace[f]!]!;
  return labels;
}
