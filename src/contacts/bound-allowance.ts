import type { ClosestPair, Vec3 } from '../geometry/types.ts';
import type { ArchSurface } from './arch-surface.ts';
import { fitPatch } from './fit-patch.ts';
import { windowFrame, windowPoints } from './fit-window.ts';
import type { WallRegion } from './proximal-wall.ts';
import { RIM_NOISE_SIGMAS, RIM_WINDOW_MM } from './tolerances.ts';

/**
 * What an exact least distance of two scanned walls may be short of the true one, mm: a minimum over many noisy points
 * picks those that lie nearest, on both walls, so both scatters count, as a root sum of squares; three of the combined
 * standard deviation are allowed for. What the scanner does to both walls alike joins them in the same way, as the
 * scatter of points cannot show it.
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
  const a = scatterAt(arch, regionA, near.a, edgeMm);
  const b = scatterAt(arch, regionB, near.b, edgeMm);
  return Math.max(leastMm, Math.hypot(RIM_NOISE_SIGMAS * Math.hypot(a, b), scannerU95Mm));
}

/** Scatter of a wall's points about a smooth surface next to a place, mm; 0 where too few show it. */
function scatterAt(arch: ArchSurface, region: WallRegion, at: Vec3, edgeMm: number): number {
  const { towards } = region.wall;
  const up: Vec3 = Math.abs(towards[2]) < Math.SQRT1_2 ? [0, 0, 1] : [0, 1, 0];
  const points = windowPoints(arch, region, windowFrame(at, towards, up), RIM_WINDOW_MM, RIM_WINDOW_MM, 1);
  return fitPatch(points, 2, RIM_WINDOW_MM, edgeMm)?.error()?.residualMm ?? 0;
}
