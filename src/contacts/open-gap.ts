import type { Vec3 } from '../geometry/types.ts';
import { add, addScaled, dot, lerp, normalize, scale } from '../geometry/vec3.ts';
import type { ArchSurface } from './arch-surface.ts';
import type { ContactFrame } from './contact-frame.ts';
import { type FittedPatch, fitPatch, patchAt, type WallPatch } from './fit-patch.ts';
import { fromWindow, type WindowFrame, windowFrame, windowPoints } from './fit-window.ts';
import type { PatchDegree } from './patch-basis.ts';
import { type PatchDistance, patchDistance, patchDistanceError } from './patch-distance.ts';
import type { PairBorders, WallRegion } from './proximal-wall.ts';
import {
  FOOT_MARGIN_SLACK_MM,
  FOOT_WINDOW_SHARE,
  LEAST_WINDOW_POINTS,
  MOST_LEVEL_UNCERTAINTY_MM,
  MOST_RESIDUAL_MM,
  QUADRIC_TRUNCATION_MM,
  QUARTIC_TRUNCATION_MM,
  UNSUPPORTED_MM,
} from './tolerances.ts';

/*
 * The estimator of the space between two seen walls ("Q4"): a weighted robust quartic patch on each wall, the smallest
 * distance of the two patches. The exact distance of the noisy meshes is no estimate of it: a minimum over noise is
 * always too small (-12 um at 10 um noise and 0.2 mm edges, -100 um at 40 um, in trials with known spaces).
 *
 * Roads not taken (trials on synthetic walls, 10 um noise): quadric patches are biased +5 to +15 um by truncation on
 * incisors; smoothing the mesh first shrinks it by -50 to +70 um; percentiles of ray lengths are biased +10 to +30 um.
 */

/** How one level of the fit is set up. */
export interface FitLevel {
  readonly gumMarginMm: number;
  readonly degree: PatchDegree;
  /** Window radius as a multiple of the usual one. */
  readonly windowShare: number;
}

/** Tried in this order; the first is the method, the rest make do where little wall is seen. */
export const FIT_LEVELS: readonly FitLevel[] = [
  { gumMarginMm: 0.4, degree: 4, windowShare: 1 },
  { gumMarginMm: 0.25, degree: 4, windowShare: 1 },
  { gumMarginMm: 0.25, degree: 4, windowShare: 1.25 },
  { gumMarginMm: 0.25, degree: 2, windowShare: 0.8 },
  { gumMarginMm: 0.1, degree: 2, windowShare: 0.8 },
];

/** Two fitted walls and their distance. */
export interface OpenGap {
  /** Bias-corrected distance of the patches, mm. */
  readonly valueMm: number;
  /** Standard uncertainty from the two fits, mm (type A). */
  readonly fitMm: number;
  /** Standard uncertainty from what the polynomial cannot follow, mm. */
  readonly modelMm: number;
  readonly biasMm: number;
  /** Standard uncertainty for a narrower place that may lie under the gum, mm; 0 where the walls open towards it. */
  readonly underGumMm: number;
  /** Foot points, scan frame, mm. */
  readonly pointA: Vec3;
  readonly pointB: Vec3;
  readonly window: WindowFrame;
  readonly patchA: WallPatch;
  readonly patchB: WallPatch;
  readonly level: FitLevel;
  /** Larger residual of the two walls, mm. */
  readonly residualMm: number;
  /** Larger inflation of the two covariances. */
  readonly inflation: number;
  /** Distances of the nearer foot to the gum line, the edge of the scan and the web, mm (cut off at the reach). */
  readonly footGumMm: number;
  readonly footCutMm: number;
  readonly footWebMm: number;
}

/** Why a level gave no result. */
export type FitRefusal = 'few-points' | 'window-edge' | 'gum-edge' | 'uncertain' | 'unsupported' | 'rough';

const REFINEMENTS = 3;
/** The check of the window's influence refits inside this share of it. */
const CHECK_WINDOW_SHARE = 0.8;

interface FittedPair {
  readonly window: WindowFrame;
  readonly a: FittedPatch;
  readonly b: FittedPatch;
  readonly found: PatchDistance;
}

interface FitJob {
  readonly arch: ArchSurface;
  readonly regionA: WallRegion;
  readonly regionB: WallRegion;
  readonly degree: PatchDegree;
  readonly radiusMm: number;
  readonly edgeMm: number;
}

/** Unit normal of a patch at (u, v), pointing along +w, scan frame. */
function patchNormal(patch: WallPatch, window: WindowFrame, uv: readonly [number, number]): Vec3 {
  const { zu, zv } = patchAt(patch, uv[0], uv[1]);
  return normalize(addScaled(addScaled(window.w, window.u, -zu), window.v, -zv));
}

function fitPair(job: FitJob, window: WindowFrame, apartMm: number): FittedPair | null {
  const depth = job.radiusMm + apartMm / 2;
  const pointsA = windowPoints(job.arch, job.regionA, window, job.radiusMm, depth, 1);
  const pointsB = windowPoints(job.arch, job.regionB, window, job.radiusMm, depth, -1);
  if (Math.min(pointsA.count, pointsB.count) < LEAST_WINDOW_POINTS) return null;
  const a = fitPatch(pointsA, job.degree, job.radiusMm, job.edgeMm);
  const b = fitPatch(pointsB, job.degree, job.radiusMm, job.edgeMm);
  if (a === null || b === null) return null;
  return { window, a, b, found: patchDistance(a.patch, b.patch) };
}

/**
 * Fits and re-centres: the window moves to the feet and turns to the mean of the two normals.
 * @param start - first foot points, scan frame
 */
function refine(job: FitJob, start: readonly [Vec3, Vec3], frame: ContactFrame): FittedPair | null {
  let [p, q] = start;
  let axis = frame.t;
  let pair: FittedPair | null = null;
  for (let round = 0; round < REFINEMENTS; round += 1) {
    const window = windowFrame(lerp(p, q, 0.5), axis, frame.o);
    const apart = Math.abs(dot(addScaled(q, p, -1), axis));
    pair = fitPair(job, window, apart);
    if (pair === null) return null;
    const { found, a, b } = pair;
    p = fromWindow(window, found.uvA[0], found.uvA[1], found.zA);
    q = fromWindow(window, found.uvB[0], found.uvB[1], found.zB);
    axis = normalize(add(patchNormal(a.patch, window, found.uvA), patchNormal(b.patch, window, found.uvB)));
  }
  return pair;
}

/**
 * One level of the estimate.
 * @param start - exact closest points of the two regions, scan frame, mm
 * @param nearestMm - exact distance of the two regions, mm
 * @param radiusMm - window radius at this level
 * @param edgeMm - median edge of the walls
 */
export function fitOpenGap(
  arch: ArchSurface,
  regionA: WallRegion,
  regionB: WallRegion,
  borders: PairBorders,
  frame: ContactFrame,
  start: readonly [Vec3, Vec3],
  nearestMm: number,
  level: FitLevel,
  radiusMm: number,
  edgeMm: number,
): OpenGap | FitRefusal {
  const job: FitJob = { arch, regionA, regionB, degree: level.degree, radiusMm, edgeMm };
  const pair = refine(job, start, frame);
  if (pair === null) return 'few-points';
  const { found, a, b, window } = pair;
  const errorA = a.error();
  const errorB = b.error();
  if (errorA === null || errorB === null) return 'few-points';
  const residualMm = Math.max(errorA.residualMm, errorB.residualMm);
  if (residualMm > MOST_RESIDUAL_MM) return 'rough';
  const inner = FOOT_WINDOW_SHARE * radiusMm;
  if (Math.hypot(...found.uvA) > inner || Math.hypot(...found.uvB) > inner) return 'window-edge';
  const pointA = fromWindow(window, found.uvA[0], found.uvA[1], found.zA);
  const pointB = fromWindow(window, found.uvB[0], found.uvB[1], found.zB);
  const footGumMm = Math.min(borders.gum.distanceTo(pointA), borders.gum.distanceTo(pointB));
  if (footGumMm < level.gumMarginMm - FOOT_MARGIN_SLACK_MM) return 'gum-edge';
  // A mesh minimum is biased low, if anything: a fit well below it lies where there are no points.
  if (found.distanceMm < nearestMm - UNSUPPORTED_MM) return 'unsupported';
  const error = patchDistanceError(a.patch, b.patch, errorA, errorB, found);
  const truncation = level.degree === 4 ? QUARTIC_TRUNCATION_MM : QUADRIC_TRUNCATION_MM;
  const smaller = fitPair(
    { ...job, radiusMm: CHECK_WINDOW_SHARE * radiusMm },
    window,
    Math.abs(found.distanceMm),
  );
  const shift = smaller === null ? 0 : Math.abs(smaller.found.distanceMm - found.distanceMm) / 2;
  const modelMm = Math.max(truncation * radiusMm * radiusMm, shift);
  if (error.fitMm > MOST_LEVEL_UNCERTAINTY_MM || modelMm > MOST_LEVEL_UNCERTAINTY_MM) return 'uncertain';
  return {
    valueMm: found.distanceMm + error.biasMm,
    fitMm: error.fitMm,
    modelMm,
    biasMm: error.biasMm,
    underGumMm: 0,
    pointA,
    pointB,
    window,
    patchA: a.patch,
    patchB: b.patch,
    level,
    residualMm,
    inflation: Math.max(errorA.inflation, errorB.inflation),
    footGumMm,
    footCutMm: Math.min(borders.cut.distanceTo(pointA), borders.cut.distanceTo(pointB)),
    footWebMm: Math.min(borders.web.distanceTo(pointA), borders.web.distanceTo(pointB)),
  };
}

/** Mean normal of the two patches at the feet: the direction the space is measured along, A to B. */
export function gapDirection(gap: OpenGap): Vec3 {
  const d = addScaled(gap.pointB, gap.pointA, -1);
  const l2 = dot(d, d);
  return l2 > 0 && gap.valueMm > 0 ? scale(d, 1 / Math.sqrt(l2)) : gap.window.w;
}
