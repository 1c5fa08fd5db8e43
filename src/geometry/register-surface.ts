import { closestPoint } from './closest-point.ts';
import { pointToPlaneStep } from './fit-rigid.ts';
import { median } from './median.ts';
import type { OrientedPoints } from './oriented-points.ts';
import { composeMotions, movePoint, type RigidMotion, rotateDirection } from './rigid.ts';
import { MAD_TO_SIGMA, TUKEY_CUT } from './robust-scale.ts';
import type { IndexedSurface } from './surface-index.ts';
import { cross, dot, normalize, sub, vertexAt } from './vec3.ts';

/** Points moved onto a surface, each with its partner. */
export interface SurfacePartners {
  /** (n x 3) moved points, their nearest points on the surface and the facets' normals there. */
  readonly moved: Float64Array;
  readonly partners: Float64Array;
  readonly normals: Float64Array;
  /** 1 where a facet of the point's direction lies within reach; without one there is neither partner nor offset. */
  readonly isFound: Uint8Array;
  /** Signed distance from the facet's plane, mm; 0 where none was found. */
  readonly offsets: Float64Array;
}

/** A partner's facet must look the same way as the point, within this cosine. */
const SAME_WAY = 0.5;

/** The nearest places of a surface for every moved point. */
export function surfacePartners(
  cloud: OrientedPoints,
  surface: IndexedSurface,
  motion: RigidMotion,
  reachMm: number,
): SurfacePartners {
  const count = cloud.points.length / 3;
  const moved = new Float64Array(3 * count);
  const partners = new Float64Array(3 * count);
  const normals = new Float64Array(3 * count);
  const offsets = new Float64Array(count);
  const isFound = new Uint8Array(count);
  for (let i = 0; i < count; i += 1) {
    const p = movePoint(motion, vertexAt(cloud.points, i));
    moved.set(p, 3 * i);
    const near = closestPoint(surface, p, reachMm);
    if (near === null) continue;
    const a = vertexAt(surface.corners, 3 * near.place);
    const facet = normalize(
      cross(
        sub(vertexAt(surface.corners, 3 * near.place + 1), a),
        sub(vertexAt(surface.corners, 3 * near.place + 2), a),
      ),
    );
    if (dot(facet, rotateDirection(motion, vertexAt(cloud.normals, i))) < SAME_WAY) continue;
    partners.set(near.point, 3 * i);
    normals.set(facet, 3 * i);
    isFound[i] = 1;
    offsets[i] = dot(sub(p, near.point), facet);
  }
  return { moved, partners, normals, isFound, offsets };
}

/** How the points lie on the surface. */
export interface SurfaceFit {
  readonly motion: RigidMotion;
  /** Share of the points that have a partner within the last reach, 0 to 1. */
  readonly partnerShare: number;
  /** Median distance of those from their facets, mm. */
  readonly medianOffsetMm: number;
  /** Share of all points that lie within `nearMm` of a facet of their direction, 0 to 1. */
  readonly nearShare: number;
  /** The last round moved nothing any more; else the rounds ran out first. */
  readonly isSettled: boolean;
}

export interface RegisterSettings {
  /** Reach of the partner search in each round, mm, from coarse to fine; the last is kept until nothing moves. */
  readonly reachesMm: readonly number[];
  /** Distance counted as lying on the surface, mm. */
  readonly nearMm: number;
  readonly mostRounds: number;
}

/** The scale of the residuals is not taken below this, mm: exact copies would otherwise weigh rounding. */
const LEAST_SCALE_MM = 1e-4;
/** A round that moves none of the points looked at (every seventh) by more than this ends the search, mm. */
const SETTLED_MM = 2e-4;
/** Fewer partners than this settle nothing. */
const LEAST_PARTNERS = 30;

/**
 * Robust point-to-plane registration of points to a surface: iterated closest points (P. Besl, N. McKay, IEEE PAMI 14
 * (1992) 239; planes after Chen and Medioni 1992) with a falling reach and Tukey's biweight, so that what moved on its
 * own or was not scanned does not pull.
 *
 * @param start - takes the points near their places
 * @returns null where too few points find a partner, or their planes leave a motion free
 */
export function registerToSurface(
  cloud: OrientedPoints,
  surface: IndexedSurface,
  start: RigidMotion,
  settings: RegisterSettings,
): SurfaceFit | null {
  const { reachesMm } = settings;
  let motion = start;
  let isSettled = false;
  for (let round = 0; round < settings.mostRounds; round += 1) {
    const reach = reachesMm[Math.min(round, reachesMm.length - 1)]!;
    const found = surfacePartners(cloud, surface, motion, reach);
    const weights = biweights(found);
    if (weights === null) return null;
    const step = pointToPlaneStep(found.moved, found.partners, found.normals, weights);
    if (step === null) return null;
    motion = composeMotions(step, motion);
    isSettled = round >= reachesMm.length - 1 && largestMove(found.moved, step) < SETTLED_MM;
    if (isSettled) break;
  }
  const fit = describeFit(cloud, surface, motion, reachesMm[reachesMm.length - 1]!, settings.nearMm);
  return fit && { ...fit, isSettled };
}

function describeFit(
  cloud: OrientedPoints,
  surface: IndexedSurface,
  motion: RigidMotion,
  reachMm: number,
  nearMm: number,
): Omit<SurfaceFit, 'isSettled'> | null {
  const found = surfacePartners(cloud, surface, motion, Math.max(reachMm, nearMm));
  const { offsets } = found;
  const sizes = sizesOf(found);
  if (sizes.length < LEAST_PARTNERS) return null;
  const near = sizes.filter((d) => d <= nearMm).length;
  return {
    motion,
    partnerShare: sizes.length / offsets.length,
    nearShare: near / offsets.length,
    medianOffsetMm: median(sizes),
  };
}

/** Distances of the points that have a partner, mm. */
function sizesOf({ offsets, isFound }: SurfacePartners): Float64Array {
  return offsets.filter((_, i) => isFound[i] === 1).map(Math.abs);
}

function biweights(found: SurfacePartners): Float64Array | null {
  const sizes = sizesOf(found);
  if (sizes.length < LEAST_PARTNERS) return null;
  const cut = TUKEY_CUT * Math.max(LEAST_SCALE_MM, MAD_TO_SIGMA * median(sizes));
  return found.offsets.map((d, i) => {
    if (found.isFound[i] === 0) return 0;
    const share = 1 - (d / cut) ** 2;
    return share > 0 ? share * share : 0;
  });
}

/** How far a step moves the points, at most, mm; looked at on every seventh. */
function largestMove(points: Float64Array, step: RigidMotion): number {
  let most = 0;
  for (let i = 0; i < points.length / 3; i += 7) {
    const p = vertexAt(points, i);
    const way = sub(movePoint(step, p), p);
    most = Math.max(most, dot(way, way));
  }
  return Math.sqrt(most);
}
