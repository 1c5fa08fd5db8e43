import type { ClosestPair, Vec3 } from '../geometry/types.ts';
import { lerp } from '../geometry/vec3.ts';
import type { ArchSurface } from './arch-surface.ts';
import { chiSquareQuantile } from './distributions.ts';
import { fitPatch, patchAt, type WallPatch, type WindowPoints } from './fit-patch.ts';
import { windowFrame, windowPoints } from './fit-window.ts';
import type { WallRegion } from './proximal-wall.ts';
import { RIM_NOISE_SIGMAS, RIM_WINDOW_MM } from './tolerances.ts';

/** The bound is to hold with this probability, as far as the scatter of points is concerned. */
const HOLDS = 0.975;
/** Places this many combined standard deviations farther apart than the nearest may still have come out nearest. */
const COMPETING_SIGMAS = 6;
/** The window is widened by this where too few points lie in it, and for the count of competing points. */
const WIDER = 2;

/** One wall about the closest points, as a smooth surface with the scatter of points about it. */
interface SmoothWall {
  readonly sigmaMm: number;
  /** Its height along the axis. */
  readonly patch: WallPatch;
}

/**
 * What an exact least distance of two scanned walls may be short of the true one, mm: a minimum over many noisy points
 * picks those that lie nearest, on both walls, so both scatters count, as a root sum of squares. Of n points of normal
 * scatter all stay within q standard deviations with probability P where q is the quantile of P^(1/n) (the distribution
 * of an extreme value, e.g. H. A. David, H. N. Nagaraja, Order Statistics, 2003, section 2.1); n is the number of points
 * of both walls where the walls are so near each other that noise can make the place the nearest. What the scanner does
 * to both walls alike joins them as one more square, as the scatter of points cannot show it.
 *
 * A wall of which too few points are left inside the margins shows its scatter beside the place, first within a wider
 * window, then beyond the margins: it is the same surface of the same file.
 *
 * @param near - the closest points, a on the first region's wall
 * @param edgeMm - median edge of the walls
 * @param leastMm - never less than this
 * @param scannerU95Mm - expanded uncertainty of the scanner's own terms
 * @returns null where a wall shows too few points to tell its scatter: then the distance bounds nothing
 */
export function boundAllowance(
  arch: ArchSurface,
  regionA: WallRegion,
  regionB: WallRegion,
  near: ClosestPair,
  edgeMm: number,
  leastMm: number,
  scannerU95Mm: number,
): number | null {
  const { towards } = regionA.wall;
  const up: Vec3 = Math.abs(towards[2]) < Math.SQRT1_2 ? [0, 0, 1] : [0, 1, 0];
  const frame = windowFrame(lerp(near.a, near.b, 0.5), towards, up);
  const pointsOf = (region: WallRegion, side: 1 | -1, radiusMm: number): WindowPoints =>
    windowPoints(arch, region, frame, radiusMm, radiusMm + near.distanceMm / 2, side);
  const smooth = (region: WallRegion, side: 1 | -1): SmoothWall | null =>
    smoothWall(pointsOf(region, side, RIM_WINDOW_MM), RIM_WINDOW_MM, edgeMm) ??
    smoothWall(pointsOf(region, side, WIDER * RIM_WINDOW_MM), WIDER * RIM_WINDOW_MM, edgeMm) ??
    smoothWall(pointsOf(wholeWall(region), side, WIDER * RIM_WINDOW_MM), WIDER * RIM_WINDOW_MM, edgeMm);
  const a = smooth(regionA, 1);
  const b = smooth(regionB, -1);
  if (a === null || b === null) return null;
  const sigmaMm = Math.hypot(a.sigmaMm, b.sigmaMm);
  const apartMm = [
    ...wallsApart(a.patch, b.patch, pointsOf(regionA, 1, WIDER * RIM_WINDOW_MM)),
    ...wallsApart(a.patch, b.patch, pointsOf(regionB, -1, WIDER * RIM_WINDOW_MM)),
  ];
  const noise = extremeFactor(competingPoints(apartMm, near.distanceMm, sigmaMm)) * sigmaMm;
  return Math.max(leastMm, Math.hypot(noise, scannerU95Mm));
}

/** Null where too few points show the wall. */
function smoothWall(points: WindowPoints, radiusMm: number, edgeMm: number): SmoothWall | null {
  const fitted = fitPatch(points, 2, radiusMm, edgeMm);
  const error = fitted?.error();
  if (!fitted || !error) return null;
  return { sigmaMm: error.residualMm, patch: fitted.patch };
}

/** How far the wall b lies beyond the wall a at every point, mm. */
function wallsApart(a: WallPatch, b: WallPatch, { uvz, count }: WindowPoints): Float64Array {
  const apartMm = new Float64Array(count);
  for (let i = 0; i < count; i += 1) {
    const u = uvz[3 * i]!;
    const v = uvz[3 * i + 1]!;
    apartMm[i] = patchAt(b, u, v).z - patchAt(a, u, v).z;
  }
  return apartMm;
}

/** All of a wall, whatever the margins leave of it. */
function wholeWall(region: WallRegion): WallRegion {
  return { ...region, places: Uint32Array.from(region.wall.vertices.keys()) };
}

/**
 * Points of both walls at places that may have come out nearest, at least one.
 * @param apartMm - distance of the smooth walls at every point; beside the window they are carried on, and may cross
 * @param nearestMm - exact distance of the walls: what comes out nearer is no place but a wall carried on too far
 */
function competingPoints(apartMm: readonly number[], nearestMm: number, sigmaMm: number): number {
  let least = Number.POSITIVE_INFINITY;
  for (const mm of apartMm) least = Math.min(least, mm);
  const reach = Math.max(least, nearestMm) + COMPETING_SIGMAS * sigmaMm;
  let competing = 0;
  for (const mm of apartMm) if (mm < reach) competing += 1;
  return Math.max(1, competing);
}

/** Standard deviations within which all of n points stay, at least as many as for a few dozen. */
function extremeFactor(n: number): number {
  const each = HOLDS ** (1 / n);
  return Math.max(RIM_NOISE_SIGMAS, Math.sqrt(chiSquareQuantile(2 * each - 1, 1)));
}
