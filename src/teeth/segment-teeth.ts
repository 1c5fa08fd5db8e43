import { type ExpansionScratch, makeExpansionScratch } from '../geometry/graph-alpha-expansion.ts';
import { distance } from '../geometry/vec3.ts';
import { checkClickHeights } from './check-click-heights.ts';
import { checkNumbers } from './check-numbers.ts';
import { checkSegmentation } from './check-segmentation.ts';
import { crownTopPlane } from './crown-top-plane.ts';
import type { LandedClick } from './hard-seeds.ts';
import { type LandedSet, landClicks } from './land-clicks.ts';
import { frameAround } from './occlusal-frame.ts';
import type { TeethBase } from './prepare-teeth.ts';
import { refineBand } from './refine-band.ts';
import { SEGMENT } from './segment-settings.ts';
import { type CoarseResult, type KnownState, solveCoarse } from './solve-coarse.ts';
import type { Click, ClickSet, Segmentation, SegmentationMemory } from './types.ts';

/**
 * Tells the teeth of a scan apart from one click each; gum is found without clicks. A multi-label graph cut over the
 * folds of the surface with a prior of each crown's size, first on super-faces, then face by face along the borders
 * (docs/decisions/0002-segmentation.md). Deterministic.
 *
 * A further click on a tooth, or one on the gum, is a correction: it settles its place and leaves the rest alone.
 *
 * @param base - from `prepareTeeth`
 * @param previous - an earlier answer for this scan: when clicks were only added since, only what they touch is
 *   solved again; after any other change the whole arch is
 * @throws ArchgapError `NO_CLICKS`, `TOOTH_WRONG_JAW`, `MISSING_TOOTH_CLICKED`, `CLICK_OFF_SURFACE`,
 *   `TWO_TEETH_ONE_PLACE`, `TOOTH_CLICKED_TWICE`
 */
export function segmentTeeth(
  base: TeethBase,
  clicks: ClickSet,
  previous: Segmentation | null = null,
): Segmentation {
  const landed = landClicks(base, clicks);
  const memory = previous?.memory;
  const earlier = memory && addedClicks(memory.clicks, clicks.clicks) ? memory : null;
  const known = earlier && knownState(earlier, clicks, landed);
  const scratch = makeExpansionScratch();
  const coarse = solveCoarse(base, landed, known, scratch);
  const faces = solveFaces(
    base,
    landed,
    coarse,
    known && previous ? { known, labels: previous.labels } : null,
    scratch,
  );
  const numbers = Uint8Array.from([0, ...landed.teeth.map((tooth) => tooth.tooth)]);
  const labels = faces.map((label) => numbers[label]!);
  const frame = frameAround(coarse.z, landed.teeth, clicks.jaw, [0, 0, 0]);
  // The labels are made with the axis of the surface; what leaves is the plane of the crowns' tops.
  const tops = crownTopPlane(base.scan, labels, frame, clicks.jaw);
  const numbering = tops && checkNumbers(tops.centres, tops.frame, clicks.jaw);
  return {
    labels,
    frame: tops?.frame ?? frame,
    frameBasis: tops?.basis ?? 'surface',
    warnings: [
      ...checkClickHeights(base, landed.teeth),
      ...(numbering ? [numbering] : []),
      ...checkSegmentation(base, coarse.labels, coarse.places),
    ],
    memory: {
      clicks: clicks.clicks,
      z: coarse.z,
      places: coarse.places,
      frames: coarse.frames,
      nodeLabels: coarse.labels.map((label) => numbers[label]!),
    },
  };
}

/** True when the earlier clicks are the first of the present ones, unchanged. */
function addedClicks(earlier: readonly Click[], present: readonly Click[]): boolean {
  return earlier.every((click, k) => {
    const now = present[k];
    return now?.tooth === click.tooth && distance(now.point, click.point) === 0;
  });
}

/** Earlier answer in terms of the present teeth. */
function knownState(memory: SegmentationMemory, set: ClickSet, landed: LandedSet): KnownState {
  const index = new Uint8Array(256);
  landed.teeth.forEach((tooth, t) => {
    index[tooth.tooth] = t + 1;
  });
  const added = landed.clicks.slice(memory.clicks.length, set.clicks.length);
  return {
    z: memory.z,
    places: landed.teeth.map((tooth) => memory.places.find((place) => place.tooth === tooth.tooth) ?? null),
    frames: landed.teeth.map((tooth) => memory.frames.find((frame) => frame.tooth === tooth.tooth) ?? null),
    labels: memory.nodeLabels.map((label) => index[label]!),
    corrections: added.filter((click) => click.correction).map((click) => click.point),
  };
}

/** From super-faces to faces: the coarse labels, then the band along the borders that changed. */
function solveFaces(
  base: TeethBase,
  landed: LandedSet,
  coarse: CoarseResult,
  earlier: { readonly known: KnownState; readonly labels: Uint8Array } | null,
  scratch: ExpansionScratch,
): Uint8Array {
  const { nodeOfFace } = base;
  if (!nodeOfFace) return coarse.labels.slice();
  const count = nodeOfFace.length;
  const labels = new Uint8Array(count);
  let region: Uint8Array | null = null;
  if (earlier) {
    const index = new Uint8Array(256);
    landed.teeth.forEach((tooth, t) => {
      index[tooth.tooth] = t + 1;
    });
    region = new Uint8Array(count);
    const before = earlier.known.labels;
    for (let f = 0; f < count; f++) {
      const i = nodeOfFace[f]!;
      const changed = before[i] !== coarse.labels[i];
      labels[f] = changed ? coarse.labels[i]! : index[earlier.labels[f]!]!;
      if (changed) region[f] = 1;
    }
    markNew(region, landed.clicks, earlier.known);
    growRegion(base, region);
  } else {
    for (let f = 0; f < count; f++) labels[f] = coarse.labels[nodeOfFace[f]!]!;
  }
  refineBand({
    base,
    labels,
    coarseFixed: coarse.seeds.fixed,
    frames: coarse.frames,
    clicks: landed.clicks,
    region,
    scratch,
  });
  return labels;
}

/** Faces under new corrections are looked at even when no super-face changed. */
function markNew(region: Uint8Array, clicks: readonly LandedClick[], known: KnownState): void {
  for (const click of clicks) {
    if (known.corrections.includes(click.point)) region[click.face] = 1;
  }
}

/** Grows a set of faces by rings until the band along a border inside it has room. */
function growRegion(base: TeethBase, region: Uint8Array): void {
  const { adjacency } = base.fabric;
  const rings = Math.max(SEGMENT.changedRings, Math.ceil(SEGMENT.changedReachMm / base.edgeMm));
  let front: number[] = [];
  for (let f = 0; f < region.length; f++) if (region[f]) front.push(f);
  for (let ring = 0; ring < rings; ring++) {
    const following: number[] = [];
    for (const f of front) {
      for (let h = 3 * f; h < 3 * f + 3; h++) {
        const g = adjacency[h]!;
        if (g < 0 || region[g]) continue;
        region[g] = 1;
        following.push(g);
      }
    }
    front = following;
  }
}
