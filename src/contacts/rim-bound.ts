import { closestBetween, indexSurface, letGoSurfaces } from '../geometry/surface-distance.ts';
import type { ArchSurface } from './arch-surface.ts';
import { boundAllowance } from './bound-allowance.ts';
import { type ProximalWall, wallRegion } from './proximal-wall.ts';
import { webMarginMm } from './seen-walls.ts';
import {
  LOW_WEB_RIM_MM,
  MOST_EDGE_MM,
  RIM_FACING_COSINE,
  RIM_GUM_MM,
  RIM_NOISE_MM,
  RIM_WEB_MM,
} from './tolerances.ts';

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

/** What else the bound depends on. */
interface RimOptions {
  /** The web is so low that it may be labels which met over the papilla. */
  readonly low?: boolean;
  /** Least allowance for noise in the clearance at the rim, mm; left out: the default. */
  readonly noiseMm?: number | undefined;
  /** Expanded uncertainty of the scanner's own terms, which the scatter of points cannot show, mm. */
  readonly scannerU95Mm?: number | undefined;
}

/**
 * The largest space that can hide behind a web: the walls come no nearer to each other behind it than they do at its
 * rim, where they are still seen, so the clearance there plus an allowance for noise bounds the hidden space; and no
 * more can hide than the scanner never bridges. It describes the scanner more than the contact.
 *
 * An exact minimum over a noisy mesh comes out short, the more the noisier: see {@link boundAllowance}. Where the web
 * is low it may be no web but labels that met over the papilla: its rim is taken higher up, as the papilla's slopes went
 * to the teeth, and what scanners never bridge says nothing.
 *
 * @param edgeMm - median edge of the walls
 * @param capMm - the smallest space the scanner never bridges, mm; infinite where that is not known
 * @returns the bound and whether the rim showed it or only the scanner's cap (which may be infinite); null where the rim is so wide that no web
 *   of this scanner can be there: then labels met, and nothing is known of what lies between; null too where no wall is
 *   seen beside a low web, or too little of one to tell its noise
 */
export function rimBound(
  arch: ArchSurface,
  wallA: ProximalWall,
  wallB: ProximalWall,
  edgeMm: number,
  capMm: number,
  { low = false, noiseMm = RIM_NOISE_MM, scannerU95Mm = 0 }: RimOptions = {},
): RimBound | null {
  const margins = {
    gumMm: RIM_GUM_MM,
    webMm: low ? LOW_WEB_RIM_MM : webMarginMm(RIM_WEB_MM, edgeMm),
    facing: RIM_FACING_COSINE,
  };
  const a = wallRegion(arch, wallA, margins);
  const b = wallRegion(arch, wallB, margins);
  if (a.triangles.length === 0 || b.triangles.length === 0) {
    return low ? null : { mm: capMm, basis: 'scanner' };
  }
  const [rimA, rimB] = [indexSurface(arch.mesh, a.triangles), indexSurface(arch.mesh, b.triangles)];
  const rim = closestBetween(rimA, rimB);
  letGoSurfaces(rimA, rimB);
  const allowance = boundAllowance(arch, a, b, rim, edgeMm, noiseMm, scannerU95Mm);
  const bound = allowance === null ? null : rim.distanceMm + allowance;
  if (low) return bound === null ? null : { mm: bound, basis: 'rim' };
  const slack = edgeMm > MOST_EDGE_MM ? edgeMm : CAP_SLACK_MM;
  if ((bound ?? rim.distanceMm) > capMm + slack) return null;
  return bound !== null && bound < capMm ? { mm: bound, basis: 'rim' } : { mm: capMm, basis: 'scanner' };
}
