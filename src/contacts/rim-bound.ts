import { closestBetween, indexSurface } from '../geometry/surface-distance.ts';
import type { ArchSurface } from './arch-surface.ts';
import { type ProximalWall, wallRegion } from './proximal-wall.ts';
import { webMarginMm } from './seen-walls.ts';
import { MOST_EDGE_MM, RIM_FACING_COSINE, RIM_GUM_MM, RIM_NOISE_MM, RIM_WEB_MM } from './tolerances.ts';

/**
 * The rim is looked at a little outside the web, where true webs too stand this much wider than the cap, mm; on a mesh
 * too coarse to measure on, one edge.
 */
const CAP_SLACK_MM = 0.15;

/** A bound on a hidden space. */
export interface RimBound {
  readonly mm: number;
  /** `rim`: seen on this scan; `scanner`: only that scanners are not known to bridge more. */
  readonly basis: 'rim' | 'scanner';
}

/**
 * The largest space that can hide behind a web: the walls come no nearer to each other behind it than they do at its
 * rim, where they are still seen, so the clearance there plus an allowance for noise bounds the hidden space; and no
 * more can hide than the scanner never bridges. It describes the scanner more than the contact.
 *
 * @param edgeMm - median edge of the walls
 * @param capMm - the smallest space the scanner never bridges, mm
 * @param noiseMm - allowance for noise in the clearance at the rim, mm
 * @returns the bound and whether the rim showed it or only the scanner's cap; null where the rim is so wide that no web
 *   of this scanner can be there: then labels met, and nothing is known of what lies between
 */
export function rimBound(
  arch: ArchSurface,
  wallA: ProximalWall,
  wallB: ProximalWall,
  edgeMm: number,
  capMm: number,
  noiseMm = RIM_NOISE_MM,
): RimBound | null {
  const margins = {
    gumMm: RIM_GUM_MM,
    webMm: webMarginMm(RIM_WEB_MM, edgeMm),
    facing: RIM_FACING_COSINE,
  };
  const a = wallRegion(arch, wallA, margins);
  const b = wallRegion(arch, wallB, margins);
  if (a.triangles.length === 0 || b.triangles.length === 0) return { mm: capMm, basis: 'scanner' };
  const rim = closestBetween(indexSurface(arch.mesh, a.triangles), indexSurface(arch.mesh, b.triangles));
  const bound = rim.distanceMm + noiseMm;
  const slack = edgeMm > MOST_EDGE_MM ? edgeMm : CAP_SLACK_MM;
  if (bound > capMm + slack) return null;
  return bound < capMm ? { mm: bound, basis: 'rim' } : { mm: capMm, basis: 'scanner' };
}
