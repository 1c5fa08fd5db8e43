import { castRay } from '../geometry/cast-ray.ts';
import type { IndexedSurface } from '../geometry/surface-index.ts';
import type { Vec3 } from '../geometry/types.ts';
import { add, addScaled, dot, lerp, scale, vertexAt } from '../geometry/vec3.ts';
import type { ArchSurface } from './arch-surface.ts';
import type { ContactFrame } from './contact-frame.ts';
import { fitPatch, patchAt } from './fit-patch.ts';
import { windowFrame, windowPoints } from './fit-window.ts';
import type { PatchDegree } from './patch-basis.ts';
import type { WallRegion } from './proximal-wall.ts';
import { CLEARANCE_GRID_MM, CLEARANCE_WINDOW_SHARE, LEAST_WINDOW_POINTS } from './tolerances.ts';

/** How far two walls can close along a direction before they touch. */
export interface ClosingClearance {
  /** Negative = they overlap along the direction by that much, mm. */
  readonly clearanceMm: number;
  /** Where they would touch first, on each wall, mm. */
  readonly pointA: Vec3;
  readonly pointB: Vec3;
  readonly basis: 'rays' | 'patch';
}

/** Rays start this far behind their vertex, so that walls which overlap by less are still found, mm. */
const RAY_RUN_UP_MM = 1;
const RECENTRINGS = 3;

/**
 * Clearance of two surfaces along t by rays both ways: +t from the points of A to B, -t from the points of B to A.
 * Exact but for pairs of crossing edges between the vertices.
 *
 * @param pointsA - (n x 3) vertices of A, mm
 * @param t - unit closing direction A to B
 * @returns null when no ray meets the other surface
 */
export function rayClearance(
  pointsA: ArrayLike<number>,
  surfaceA: IndexedSurface,
  pointsB: ArrayLike<number>,
  surfaceB: IndexedSurface,
  t: Vec3,
): ClosingClearance | null {
  const fromA = leastByRays(pointsA, surfaceB, t, Number.POSITIVE_INFINITY);
  const back = scale(t, -1);
  const fromB = leastByRays(pointsB, surfaceA, back, fromA?.clearanceMm ?? Number.POSITIVE_INFINITY);
  if (fromB !== null) return { ...fromB, pointA: fromB.pointB, pointB: fromB.pointA };
  return fromA;
}

/** The least clearance below a limit by rays from points of one surface, called A, to the other; null: none. */
function leastByRays(
  points: ArrayLike<number>,
  target: IndexedSurface,
  direction: Vec3,
  limitMm: number,
): ClosingClearance | null {
  let best: ClosingClearance | null = null;
  let limit = limitMm;
  const front = leastAlong(target, direction);
  const along = alongDirection(points, direction);
  const order = foremostFirst(along);
  for (let k = 0; k < order.length; k += 1) {
    const i = order[k]!;
    const p = vertexAt(points, i);
    // No point of the target lies before its front: points this far back, and all behind them, cannot beat it.
    if (front - along[i]! >= limit) break;
    const hit = castRay(target, addScaled(p, direction, -RAY_RUN_UP_MM), direction, limit + RAY_RUN_UP_MM);
    if (hit === null || hit.distanceMm - RAY_RUN_UP_MM >= limit) continue;
    limit = hit.distanceMm - RAY_RUN_UP_MM;
    best = { clearanceMm: limit, pointA: p, pointB: hit.point, basis: 'rays' };
  }
  return best;
}

/** The place of each point along a direction, mm. */
function alongDirection(points: ArrayLike<number>, direction: Vec3): Float64Array {
  const along = new Float64Array(points.length / 3);
  for (let i = 0; i < along.length; i += 1) along[i] = dot(vertexAt(points, i), direction);
  return along;
}

/** Points in falling order of their places. */
function foremostFirst(along: Float64Array): Uint32Array {
  const order = new Uint32Array(along.length);
  for (let i = 0; i < order.length; i += 1) order[i] = i;
  return order.sort((i, j) => along[j]! - along[i]!);
}

/** The least place of a surface along a direction, mm. */
function leastAlong(surface: IndexedSurface, direction: Vec3): number {
  let least = Number.POSITIVE_INFINITY;
  for (let i = 0; i < surface.corners.length / 3; i += 1) {
    least = Math.min(least, dot(vertexAt(surface.corners, i), direction));
  }
  return least;
}

/** The vertices of a region, (n x 3) mm. */
export function regionPoints(arch: ArchSurface, region: WallRegion): Float64Array {
  const out = new Float64Array(3 * region.places.length);
  for (let i = 0; i < region.places.length; i += 1) {
    out.set(vertexAt(arch.mesh.positions, region.wall.vertices[region.places[i]!]!), 3 * i);
  }
  return out;
}

/**
 * The clearance refined on fitted walls: both walls as heights along t over a window around the place the rays found,
 * their difference searched on a grid, the window re-centred there three times. Rays alone are biased low by noise as
 * every minimum over a noisy mesh is. Falls back to null where the walls cannot be fitted.
 */
export function patchClearance(
  arch: ArchSurface,
  regionA: WallRegion,
  regionB: WallRegion,
  frame: ContactFrame,
  start: ClosingClearance,
  degree: PatchDegree,
  radiusMm: number,
  edgeMm: number,
): ClosingClearance | null {
  let { pointA, pointB } = start;
  let result: ClosingClearance | null = null;
  for (let round = 0; round < RECENTRINGS; round += 1) {
    const window = windowFrame(lerp(pointA, pointB, 0.5), frame.t, frame.o);
    const apart = Math.abs(dot(addScaled(pointB, pointA, -1), frame.t));
    const depth = radiusMm + apart / 2;
    const inA = windowPoints(arch, regionA, window, radiusMm, depth, 1);
    const inB = windowPoints(arch, regionB, window, radiusMm, depth, -1);
    if (Math.min(inA.count, inB.count) < LEAST_WINDOW_POINTS) return null;
    const a = fitPatch(inA, degree, radiusMm, edgeMm);
    const b = fitPatch(inB, degree, radiusMm, edgeMm);
    if (a === null || b === null) return null;
    const reach = CLEARANCE_WINDOW_SHARE * radiusMm;
    const steps = Math.floor(reach / CLEARANCE_GRID_MM);
    let least = Number.POSITIVE_INFINITY;
    let at: [number, number] = [0, 0];
    for (let i = -steps; i <= steps; i += 1) {
      for (let j = -steps; j <= steps; j += 1) {
        const u = i * CLEARANCE_GRID_MM;
        const v = j * CLEARANCE_GRID_MM;
        if (u * u + v * v > reach * reach) continue;
        const d = patchAt(b.patch, u, v).z - patchAt(a.patch, u, v).z;
        if (d < least) {
          least = d;
          at = [u, v];
        }
      }
    }
    const across = add(scale(window.u, at[0]), scale(window.v, at[1]));
    const base = add(window.origin, across);
    pointA = addScaled(base, frame.t, patchAt(a.patch, at[0], at[1]).z);
    pointB = addScaled(base, frame.t, patchAt(b.patch, at[0], at[1]).z);
    result = { clearanceMm: least, pointA, pointB, basis: 'patch' };
  }
  return result;
}
