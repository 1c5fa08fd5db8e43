import type { Vec3 } from '../geometry/types.ts';
import { vertexAt } from '../geometry/vec3.ts';
import { patchAt } from './fit-patch.ts';
import { toWindow } from './fit-window.ts';
import type { OpenGap } from './open-gap.ts';

/** Corners within this share of the fitted window count: beyond it the neighbour's patch is extended, not fitted. */
const WINDOW_SHARE = 0.8;
/** Where patch and scanned wall say distances farther apart than this, or this many residuals, the patch is extended. */
const SUPPORTED_MM = 0.03;
const SUPPORTED_SIGMAS = 4;

/** The nearest corner of a designed wall to the fitted wall of its neighbour. */
export interface HighSpot {
  /** Distance from the neighbour's patch, mm. */
  readonly mm: number;
  readonly point: Vec3;
}

/** A designed wall before its neighbour. */
export interface DesignedWall {
  /** Vertices of the design's wall, in the positions the fit was made on. */
  readonly positions: ArrayLike<number>;
  readonly own: ArrayLike<number>;
  /** The neighbour is tooth A. */
  readonly isFirst: boolean;
  /** Exact distance of a point from the neighbour's scanned wall, mm; null beyond reach. */
  readonly scannedMm: (point: Vec3) => number | null;
}

/**
 * How near the corners of a designed wall come to the fitted wall of the neighbour. A design has no noise: its narrow
 * high spots are real and are what is to be found, while a patch fitted to it smooths them away. Distance of a point
 * from the patch to first order, along its normal; exact where the walls run parallel. Corners where the patch is not
 * borne out by the scanned wall are passed over.
 *
 * @param fit - both fitted walls, A below B along the window's w
 * @param belowMm - only corners nearer than this are looked for
 * @returns null where no corner comes so near
 */
export function highSpot(
  fit: OpenGap,
  { positions, own, isFirst, scannedMm }: DesignedWall,
  belowMm: number,
): HighSpot | null {
  const neighbour = isFirst ? fit.patchA : fit.patchB;
  const reachMm = WINDOW_SHARE * Math.min(fit.patchA.radiusMm, fit.patchB.radiusMm);
  const apartMm = Math.max(SUPPORTED_MM, SUPPORTED_SIGMAS * fit.residualMm);
  const near: HighSpot[] = [];
  for (let i = 0; i < own.length; i += 1) {
    const point = vertexAt(positions, own[i]!);
    const [u, v, z] = toWindow(fit.window, point);
    if (u * u + v * v >= reachMm * reachMm || Math.abs(z) >= reachMm) continue;
    const wall = patchAt(neighbour, u, v);
    const mm = ((isFirst ? 1 : -1) * (z - wall.z)) / Math.sqrt(1 + wall.zu ** 2 + wall.zv ** 2);
    if (mm < belowMm) near.push({ mm, point });
  }
  near.sort((p, q) => p.mm - q.mm);
  const isBorneOut = ({ mm, point }: HighSpot): boolean => {
    const scanned = scannedMm(point);
    return scanned !== null && Math.abs(scanned - mm) < apartMm;
  };
  return near.find(isBorneOut) ?? null;
}
