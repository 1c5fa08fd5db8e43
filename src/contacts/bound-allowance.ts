import type { ClosestPair, Vec3 } from '../geometry/types.ts';
import { lerp } from '../geometry/vec3.ts';
import type { ArchSurface } from './arch-surface.ts';
import { chiSquareQuantile } from './distributions.ts';
import { fitPatch, patchAt, type WindowPoints } from './fit-patch.ts';
import { windowFrame, windowPoints } from './fit-window.ts';
import type { WallRegion } from './proximal-wall.ts';
import { RIM_NOISE_SIGMAS, RIM_WINDOW_MM } from './tolerances.ts';

/** The bound is to hold with this probability, as far as the scatter of points is concerned. */
const HOLDS = 0.975;
/** Places this many combined standard deviations farther apart than the nearest may still have come out nearest. */
const COMPETING_SIGMAS = 6;
/** The window is widened by this where too few points lie in it, and for the count of competing points. */
const WIDER = 2;

/** Both walls about their closest points, along one axis, as smooth surfaces with the scatter of points about them. */
interface WallsAtPlace {
  readonly sigmaMm: number;
  /** Distance of the two surfaces along the axis, mm. */
  readonly apartAt: (u: number, v: number) => number;
  readonly pointsOf: (radiusMm: number) => readonly WindowPoints[];
  readonly radiusMm: number;
}

/**
 * What an exact least distance of two scanned walls may be short of the true one, mm: a minimum over many noisy points
 * picks those that lie nearest, on both walls, so both scatters count, as a root sum of squares. Of n points of normal
 * scatter all stay within q standard deviations with probability P where q is the quantile of P^(1/n) (the distribution
 * of an extreme value, e.g. H. A. David, H. N. Nagaraja, Order Statistics, 2003, section 2.1); n is the number of points
 * of both walls where the walls are so near each other that noise can make the place the nearest. What the scanner does
 * to both walls alike joins them as one more square, as the scatter of points cannot show it.
 *
 * @param near - the closest points, a on the first region's wall
 * @param edgeMm - median edge of the walls
 * @param leastMm - never less than this
 * @param scannerU95Mm - expanded uncertainty of the scanner's own terms
 */
export function boundAllowance(
  arch: ArchSurface,
  regionA: WallRegion,
  regionB: WallRegion,
  near: ClosestPair,
  edgeMm: number,
  leastMm: number,
  scannerU95Mm: number,
): number {
  const walls =
    wallsAtPlace(arch, regionA, regionB, near, edgeMm, RIM_WINDOW_MM) ??
    wallsAtPlace(arch, regionA, regionB, near, edgeMm, WIDER * RIM_WINDOW_MM);
  if (walls === null) return Math.max(leastMm, scannerU95Mm);
  const noise = extremeFactor(competingPoints(walls)) * walls.sigmaMm;
  return Math.max(leastMm, Math.hypot(noise, scannerU95Mm));
}

/** Null where too few points show the walls. */
function wallsAtPlace(
  arch: ArchSurface,
  regionA: WallRegion,
  regionB: WallRegion,
  near: ClosestPair,
  edgeMm: number,
  radiusMm: number,
): WallsAtPlace | null {
  const { towards } = regionA.wall;
  const up: Vec3 = Math.abs(towards[2]) < Math.SQRT1_2 ? [0, 0, 1] : [0, 1, 0];
  const frame = windowFrame(lerp(near.a, near.b, 0.5), towards, up);
  const pointsOf = (radius: number): WindowPoints[] =>
    ([regionA, regionB] as const).map((region, k) =>
      windowPoints(arch, region, frame, radius, radius + near.distanceMm / 2, k === 0 ? 1 : -1),
    );
  const [a, b] = pointsOf(radiusMm).map((points) => fitPatch(points, 2, radiusMm, edgeMm));
  const [errorA, errorB] = [a?.error(), b?.error()];
  if (!a || !b || !errorA || !errorB) return null;
  return {
    sigmaMm: Math.hypot(errorA.residualMm, errorB.residualMm),
    apartAt: (u, v) => patchAt(b.patch, u, v).z - patchAt(a.patch, u, v).z,
    pointsOf,
    radiusMm,
  };
}

/** Points of both walls at places that may have come out nearest, at least one. */
function competingPoints({ sigmaMm, apartAt, pointsOf, radiusMm }: WallsAtPlace): number {
  const apart = pointsOf(WIDER * radiusMm).flatMap(({ uvz, count }) =>
    Array.from({ length: count }, (_, i) => apartAt(uvz[3 * i]!, uvz[3 * i + 1]!)),
  );
  const reach = apart.reduce((least, mm) => Math.min(least, mm), Number.POSITIVE_INFINITY);
  return Math.max(1, apart.filter((mm) => mm < reach + COMPETING_SIGMAS * sigmaMm).length);
}

/** Standard deviations within which all of n points stay, at least as many as for a few dozen. */
function extremeFactor(n: number): number {
  const each = HOLDS ** (1 / n);
  return Math.max(RIM_NOISE_SIGMAS, Math.sqrt(chiSquareQuantile(2 * each - 1, 1)));
}
