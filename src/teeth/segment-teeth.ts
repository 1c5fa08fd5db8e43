import {
  type ExpansionScratch,
  letGoExpansionScratch,
  makeExpansionScratch,
} from '../geometry/graph-alpha-expansion.ts';
import { partOf, runAtOnce, type Steps } from '../geometry/steps.ts';
import { checkClickHeights } from './check-click-heights.ts';
import { checkNumbers } from './check-numbers.ts';
import { checkSegmentation } from './check-segmentation.ts';
import { checkWidths } from './check-widths.ts';
import { crownTopPlane } from './crown-top-plane.ts';
import type { LandedClick } from './hard-seeds.ts';
import { earlierAnswer, indexOfTooth, knownState, numberOfLabel } from './known-state.ts';
import { type LandedSet, landClicks } from './land-clicks.ts';
import { frameAround } from './occlusal-frame.ts';
import type { TeethBase } from './prepare-teeth.ts';
import { refineBand } from './refine-band.ts';
import { regionWidths } from './reframe-crowns.ts';
import { SEGMENT } from './segment-settings.ts';
import { type CoarseResult, type KnownState, solveCoarse } from './solve-coarse.ts';
import type { ClickSet, Segmentation } from './types.ts';

/** Shares of the work, for the progress shown. */
const COARSE_SHARE = 0.6;
const BAND_ENDS = 0.95;

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
  return runAtOnce(segmentInSteps(base, clicks, previous));
}

/** {@link segmentTeeth} with pauses in which a newer click can stop it. */
export function* segmentInSteps(
  base: TeethBase,
  clicks: ClickSet,
  previous: Segmentation | null = null,
): Steps<Segmentation> {
  const landed = landClicks(base, clicks);
  const earlier = earlierAnswer(previous, clicks);
  const known = earlier && knownState(earlier, landed);
  const scratch = makeExpansionScratch();
  const coarse = yield* partOf(solveCoarse(base, landed, known, scratch), 0, COARSE_SHARE);
  const faces = yield* partOf(
    solveFaces(base, landed, coarse, known && earlier ? { known, labels: earlier.labels } : null, scratch),
    COARSE_SHARE,
    BAND_ENDS,
  );
  letGoExpansionScratch(scratch);
  const numbers = numberOfLabel(landed);
  const labels = faces.map((label) => numbers[label]!);
  const frame = frameAround(coarse.z, landed.teeth, clicks.jaw, [0, 0, 0]);
  yield { fraction: BAND_ENDS, stage: 'laying the plane of the crowns' };
  // The labels are made with the axis of the surface; what leaves is the plane of the crowns' tops.
  const tops = crownTopPlane(base.scan, labels, frame, clicks.jaw);
  const widths = regionWidths(base, coarse.labels, coarse.frames);
  const row = coarse.frames.flatMap(({ tooth }, t) =>
    widths[t] === null ? [] : { tooth, widthMm: widths[t]! },
  );
  const numbering =
    (tops && checkNumbers(tops.centres, tops.frame, clicks.jaw)) ?? checkWidths(row, clicks.jaw);
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
      missing: clicks.missing,
      z: coarse.z,
      places: coarse.places,
      frames: coarse.frames,
      nodeLabels: coarse.labels.map((label) => numbers[label]!),
    },
  };
}

/** From super-faces to faces: the coarse labels, then the band along the borders that changed. */
function* solveFaces(
  base: TeethBase,
  landed: LandedSet,
  coarse: CoarseResult,
  earlier: { readonly known: KnownState; readonly labels: Uint8Array } | null,
  scratch: ExpansionScratch,
): Steps<Uint8Array> {
  const { nodeOfFace } = base;
  if (!nodeOfFace) return coarse.labels.slice();
  const count = nodeOfFace.length;
  const labels = new Uint8Array(count);
  let region: Uint8Array | null = null;
  if (earlier) {
    const index = indexOfTooth(landed);
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
  yield* refineBand({
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
