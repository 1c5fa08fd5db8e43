import { closestBetween, indexSurface } from '../geometry/surface-distance.ts';
import type { Vec3 } from '../geometry/types.ts';
import type { ArchSurface } from './arch-surface.ts';
import { fitPatch } from './fit-patch.ts';
import { windowFrame, windowPoints } from './fit-window.ts';
import { type ProximalWall, type WallRegion, wallRegion } from './proximal-wall.ts';
import { webMarginMm } from './seen-walls.ts';
import {
  LOW_WEB_RIM_MM,
  MOST_EDGE_MM,
  RIM_FACING_COSINE,
  RIM_GUM_MM,
  RIM_NOISE_MM,
  RIM_NOISE_SIGMAS,
  RIM_WEB_MM,
  RIM_WINDOW_MM,
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
}

/**
 * The largest space that can hide behind a web: the walls come no nearer to each other behind it than they do at its
 * rim, where they are still seen, so the clearance there plus an allowance for noise bounds the hidden space; and no
 * more can hide than the scanner never bridges. It describes the scanner more than the contact.
 *
 * An exact minimum over a noisy mesh comes out short, the more the noisier: the allowance is at least three standard
 * deviations of the rim's points. Where the web is low it may be no web but labels that met over the
 * papilla: its rim is taken higher up, as the papilla's slopes went to the teeth, and what scanners never bridge says
 * nothing.
 *
 * @param edgeMm - median edge of the walls
 * @param capMm - the smallest space the scanner never bridges, mm
 * @returns the bound and whether the rim showed it or only the scanner's cap; null where the rim is so wide that no web
 *   of this scanner can be there: then labels met, and nothing is known of what lies between
 */
export function rimBound(
  arch: ArchSurface,
  wallA: ProximalWall,
  wallB: ProximalWall,
  edgeMm: number,
  capMm: number,
  { low = false, noiseMm = RIM_NOISE_MM }: RimOptions = {},
): RimBound | null {
  const margins = {
    gumMm: RIM_GUM_MM,
    webMm: low ? LOW_WEB_RIM_MM : webMarginMm(RIM_WEB_MM, edgeMm),
    facing: RIM_FACING_COSINE,
  };
  const a = wallRegion(arch, wallA, margins);
  const b = wallRegion(arch, wallB, margins);
  if (a.triangles.length === 0 || b.triangles.length === 0) return { mm: capMm, basis: 'scanner' };
  const rim = closestBetween(indexSurface(arch.mesh, a.triangles), indexSurface(arch.mesh, b.triangles));
  const scatter = Math.max(scatterAt(arch, a, rim.a, edgeMm), scatterAt(arch, b, rim.b, edgeMm));
  const bound = rim.distanceMm + Math.max(noiseMm, RIM_NOISE_SIGMAS * scatter);
  if (low) return { mm: bound, basis: 'rim' };
  const slack = edgeMm > MOST_EDGE_MM ? edgeMm : CAP_SLACK_MM;
  if (bound > capMm + slack) return null;
  return bound < capMm ? { mm: bound, basis: 'rim' } : { mm: capMm, basis: 'scanner' };
}

/** Scatter of a wall's points about a smooth surface next to a place, mm; 0 where too few show it. */
function scatterAt(arch: ArchSurface, region: WallRegion, at: Vec3, edgeMm: number): number {
  const { towards } = region.wall;
  const up: Vec3 = Math.abs(towards[2]) < Math.SQRT1_2 ? [0, 0, 1] : [0, 1, 0];
  const points = windowPoints(arch, region, windowFrame(at, towards, up), RIM_WINDOW_MM, RIM_WINDOW_MM, 1);
  return fitPatch(points, 2, RIM_WINDOW_MM, edgeMm)?.error()?.residualMm ?? 0;
}
