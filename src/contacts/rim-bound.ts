import { closestBetween, indexSurface } from '../geometry/surface-distance.ts';
import type { ArchSurface } from './arch-surface.ts';
import { type ProximalWall, wallRegion } from './proximal-wall.ts';
import { RIM_FACING_COSINE, RIM_GUM_MM, RIM_NOISE_MM, RIM_WEB_MM, WEB_MARGIN_EDGES } from './tolerances.ts';

/**
 * The largest space that can hide behind a web: the walls come no nearer to each other behind it than they do at its
 * rim, where they are still seen, so the clearance there plus an allowance for noise bounds the hidden space; and no
 * more can hide than the scanner never bridges. It describes the scanner more than the contact.
 *
 * @param edgeMm - median edge of the walls
 * @param capMm - the smallest space the scanner never bridges, mm
 * @returns mm
 */
export function rimBound(
  arch: ArchSurface,
  wallA: ProximalWall,
  wallB: ProximalWall,
  edgeMm: number,
  capMm: number,
): number {
  const margins = {
    gumMm: RIM_GUM_MM,
    webMm: Math.max(RIM_WEB_MM, WEB_MARGIN_EDGES * edgeMm),
    facing: RIM_FACING_COSINE,
  };
  const a = wallRegion(arch, wallA, margins);
  const b = wallRegion(arch, wallB, margins);
  if (a.triangles.length === 0 || b.triangles.length === 0) return capMm;
  const rim = closestBetween(indexSurface(arch.mesh, a.triangles), indexSurface(arch.mesh, b.triangles));
  return Math.min(rim.distanceMm + RIM_NOISE_MM, capMm);
}
