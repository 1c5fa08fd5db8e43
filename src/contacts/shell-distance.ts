import { castRay } from '../geometry/cast-ray.ts';
import { closestPoint } from '../geometry/closest-point.ts';
import { closestBetween, type IndexedSurface } from '../geometry/surface-distance.ts';
import type { Vec3 } from '../geometry/types.ts';
import { addScaled, distance, scale, sub, vertexAt } from '../geometry/vec3.ts';
import { facingOf, isInBox, isInside, isInsideNear } from '../geometry/winding-number.ts';

/** Signed distance of two closed shells. */
export interface ShellDistance {
  /** Smallest distance; negative = depth of the deepest point of either inside the other, mm. */
  readonly signedMm: number;
  /** Closest points, or the deepest point and the nearest point of the surface it is inside of. */
  readonly pointA: Vec3;
  readonly pointB: Vec3;
  /** Depth of A's deepest point in B and of B's in A, mm; 0 without overlap. */
  readonly depthAInBMm: number;
  readonly depthBInAMm: number;
  /** The surfaces cross, but no corner of either lies inside the other: an overlap of unknown depth. */
  readonly isCrossing: boolean;
}

interface Deepest {
  readonly depthMm: number;
  /** The point inside, and the point of the other surface nearest to it. */
  readonly inside: Vec3 | null;
  readonly surface: Vec3 | null;
}

/** The vertex of `points` that lies deepest inside `other`. */
function deepestInside(points: IndexedSurface, other: IndexedSurface): Deepest {
  let best: Deepest = { depthMm: 0, inside: null, surface: null };
  const seen = new Set<string>();
  const turned = facingOf(other);
  for (let i = 0; i < points.corners.length; i += 3) {
    const p: Vec3 = [points.corners[i]!, points.corners[i + 1]!, points.corners[i + 2]!];
    const key = p.join(' ');
    if (seen.has(key)) continue;
    seen.add(key);
    if (!isInBox(other, p)) continue;
    const near = closestPoint(other, p);
    if (near === null || near.distanceMm <= best.depthMm || !isInsideNear(other, p, near, turned)) continue;
    best = { depthMm: near.distanceMm, inside: p, surface: near.point };
  }
  return best;
}

/** Surfaces that are no deeper in each other than this touch: far above rounding, far below any overlap, mm. */
const CROSSING_MM = 1e-4;

/** Whether an edge of one surface runs through the inside of another, between the places where it enters and leaves. */
function edgesPierce(edges: IndexedSurface, other: IndexedSurface): boolean {
  for (let i = 0; i < edges.corners.length; i += 9) {
    for (let k = 0; k < 3; k += 1) {
      const p = vertexAt(edges.corners, i / 3 + k);
      const q = vertexAt(edges.corners, i / 3 + ((k + 1) % 3));
      if (isPierced(p, q, other)) return true;
    }
  }
  return false;
}

/** The part of an edge between its first hits from both ends lies inside where its middle does. */
function isPierced(p: Vec3, q: Vec3, other: IndexedSurface): boolean {
  const way = sub(q, p);
  const enters = castRay(other, p, way, 1);
  if (enters === null) return false;
  const leaves = castRay(other, q, scale(way, -1), 1)!;
  const middle = addScaled(p, way, (enters.distanceMm + 1 - leaves.distanceMm) / 2);
  const near = closestPoint(other, middle);
  return near !== null && near.distanceMm > CROSSING_MM && isInside(other, middle);
}

/**
 * Signed distance of two closed shells: exact where they are apart; where they overlap, minus the depth of the deepest
 * vertex of either inside the other (both ways; where surfaces cross without one, `isCrossing`). One shell wholly inside the other is an overlap too.
 */
export function shellDistance(a: IndexedSurface, b: IndexedSurface): ShellDistance {
  const apart = closestBetween(a, b);
  if (apart.distanceMm > 0 && !isInside(b, apart.a) && !isInside(a, apart.b)) {
    return {
      signedMm: apart.distanceMm,
      pointA: apart.a,
      pointB: apart.b,
      depthAInBMm: 0,
      depthBInAMm: 0,
      isCrossing: false,
    };
  }
  const aInB = deepestInside(a, b);
  const bInA = deepestInside(b, a);
  const deeper = aInB.depthMm >= bInA.depthMm ? aInB : bInA;
  const fromA = deeper === aInB;
  const inside = deeper.inside ?? apart.a;
  const surface = deeper.surface ?? apart.b;
  return {
    signedMm: deeper.depthMm > 0 ? -distance(inside, surface) : 0,
    pointA: fromA ? inside : surface,
    pointB: fromA ? surface : inside,
    depthAInBMm: aInB.depthMm,
    depthBInAMm: bInA.depthMm,
    isCrossing: deeper.depthMm === 0 && (edgesPierce(a, b) || edgesPierce(b, a)),
  };
}
