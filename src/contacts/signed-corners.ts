import { closestPoint } from '../geometry/closest-point.ts';
import type { IndexedSurface } from '../geometry/surface-distance.ts';
import type { Vec3 } from '../geometry/types.ts';
import { cross, dot, length, sub, vertexAt } from '../geometry/vec3.ts';
import { facingOf, isInBox, isInsideNear } from '../geometry/winding-number.ts';

/** Distances of the corners of a surface from another one. */
export interface SignedCorners {
  /** (3 m) per triangle and corner, mm; negative = overlap. Only to be read where the triangle is known. */
  readonly values: Float64Array;
  /** (m) 1 where all three corners lie within reach. */
  readonly isKnown: Uint8Array;
}

/**
 * Signed distances of all corners of a shell from another shell, as far as a triangle with them can have a part within
 * `withinMm`.
 *
 * @param overlapping - whether the shells are known to overlap; else no point is looked for inside. `sheet`: the other
 *   surface is an open wall, and a point behind its facet is inside, however the wall goes on
 */
export function signedCorners(
  shell: IndexedSurface,
  other: IndexedSurface,
  overlapping: boolean | 'sheet',
  withinMm: number,
): SignedCorners {
  // A triangle with a corner farther than this has no part within.
  const reach = withinMm + longestEdge(shell.corners);
  const turned = facingOf(other);
  const known = new Map<string, number | null>();
  const distanceOf = (p: Vec3): number | null => {
    if (overlapping === 'sheet') return signedToSheet(other, p, reach);
    // Where the shells overlap the whole way to the other shell counts: a corner deep inside is below every level.
    const near = closestPoint(other, p, overlapping && isInBox(other, p) ? Number.POSITIVE_INFINITY : reach);
    if (near === null) return null;
    if (overlapping && isInBox(other, p) && isInsideNear(other, p, near, turned)) return -near.distanceMm;
    return near.distanceMm > reach ? null : near.distanceMm;
  };
  const signedAt = (p: Vec3): number | null => {
    const key = p.join(' ');
    let d = known.get(key);
    if (d === undefined) {
      d = distanceOf(p);
      known.set(key, d);
    }
    return d;
  };
  const count = shell.corners.length / 9;
  const values = new Float64Array(3 * count);
  const isKnown = new Uint8Array(count);
  for (let t = 0; t < count; t += 1) {
    let found = 0;
    for (let k = 0; k < 3 && found === k; k += 1) {
      const d = signedAt(vertexAt(shell.corners, 3 * t + k));
      if (d === null) continue;
      values[3 * t + k] = d;
      found += 1;
    }
    if (found === 3) isKnown[t] = 1;
  }
  return { values, isKnown };
}

/** Longest edge of a shell, mm. */
function longestEdge(corners: Float64Array): number {
  let longest = 0;
  for (let i = 0; i < corners.length; i += 9) {
    for (let k = 0; k < 3; k += 1) {
      const p = i + 3 * k;
      const q = i + 3 * ((k + 1) % 3);
      const x = corners[p]! - corners[q]!;
      const y = corners[p + 1]! - corners[q + 1]!;
      const z = corners[p + 2]! - corners[q + 2]!;
      longest = Math.max(longest, x * x + y * y + z * z);
    }
  }
  return Math.sqrt(longest);
}

/** Beyond this depth behind an open wall a point is no overlap but something else, mm. */
const DEEPEST_MM = 1.5;
/** The way to the nearest place runs along the facet's normal within this cosine, but for the rim of the wall. */
const LEAST_FOOT_COSINE = 0.7;

/** Distance to an open wall, negative behind its facets; null where the wall is farther than the reach. */
function signedToSheet(sheet: IndexedSurface, p: Vec3, reachMm: number): number | null {
  const near = closestPoint(sheet, p, Math.max(reachMm, DEEPEST_MM));
  if (near === null) return null;
  const a = vertexAt(sheet.corners, 3 * near.place);
  const n = cross(
    sub(vertexAt(sheet.corners, 3 * near.place + 1), a),
    sub(vertexAt(sheet.corners, 3 * near.place + 2), a),
  );
  const way = sub(p, near.point);
  const along = dot(way, n);
  // Beside the rim of the wall the nearest place is no foot of a perpendicular: nothing is known of the side there.
  if (Math.abs(along) < LEAST_FOOT_COSINE * length(way) * length(n)) return null;
  if (along < 0) return -near.distanceMm;
  return near.distanceMm > reachMm ? null : near.distanceMm;
}
