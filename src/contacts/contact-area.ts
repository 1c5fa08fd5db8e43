import { closestPoint } from '../geometry/closest-point.ts';
import type { IndexedSurface } from '../geometry/surface-distance.ts';
import type { Vec3 } from '../geometry/types.ts';
import { cross, dot, length, sub, vertexAt } from '../geometry/vec3.ts';
import { facingOf, isInBox, isInsideNear } from '../geometry/winding-number.ts';

/** Part of a triangle where a linear function with these corner values is at most `level`, 0 to 1. */
export function shareBelow(values: readonly [number, number, number], level: number): number {
  const [low, middle, high] = [...values].sort((x, y) => x - y) as [number, number, number];
  if (level >= high) return 1;
  if (level <= low) return 0;
  if (level <= middle) return (level - low) ** 2 / ((middle - low) * (high - low));
  return 1 - (high - level) ** 2 / ((high - middle) * (high - low));
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

/**
 * Area of a shell that lies within each distance of another shell, overlap included: signed distances at the corners,
 * taken as linear over each triangle.
 * @param overlapping - whether the shells are known to overlap; else no point is looked for inside. `sheet`: the other
 *   surface is an open wall, and a point behind its facet is inside, however the wall goes on
 * @param levelsMm - distances asked about
 * @returns one area per level, mm^2
 */
export function areaWithin(
  shell: IndexedSurface,
  other: IndexedSurface,
  overlapping: boolean | 'sheet',
  levelsMm: readonly number[],
): number[] {
  // A triangle with a corner farther than this has no part within any of the levels.
  const reach = Math.max(...levelsMm) + longestEdge(shell.corners);
  const areas = levelsMm.map(() => 0);
  const known = new Map<string, number>();
  const turned = facingOf(other);
  const signedAt = (p: Vec3): number => {
    const key = p.join(' ');
    const before = known.get(key);
    if (before !== undefined) return before;
    if (overlapping === 'sheet') {
      const behind = signedToSheet(other, p, reach);
      known.set(key, behind);
      return behind;
    }
    // Where the shells overlap the whole way to the other shell counts: a corner deep inside is below every level.
    const near = closestPoint(other, p, overlapping && isInBox(other, p) ? Number.POSITIVE_INFINITY : reach);
    let d = near?.distanceMm ?? Number.POSITIVE_INFINITY;
    if (overlapping && near !== null && isInBox(other, p) && isInsideNear(other, p, near, turned)) d = -d;
    else if (d > reach) d = Number.POSITIVE_INFINITY;
    known.set(key, d);
    return d;
  };
  for (let i = 0; i < shell.corners.length; i += 9) {
    const corner = (k: number): Vec3 => [
      shell.corners[i + 3 * k]!,
      shell.corners[i + 3 * k + 1]!,
      shell.corners[i + 3 * k + 2]!,
    ];
    const [a, b, c] = [corner(0), corner(1), corner(2)];
    const values: [number, number, number] = [signedAt(a), signedAt(b), signedAt(c)];
    if (!values.every(Number.isFinite)) continue;
    const area = length(cross(sub(b, a), sub(c, a))) / 2;
    for (let k = 0; k < levelsMm.length; k += 1) areas[k]! += area * shareBelow(values, levelsMm[k]!);
  }
  return areas;
}

/** Beyond this depth behind an open wall a point is no overlap but something else, mm. */
const DEEPEST_MM = 1.5;
/** The way to the nearest place runs along the facet's normal within this cosine, but for the rim of the wall. */
const LEAST_FOOT_COSINE = 0.7;

/** Distance to an open wall, negative behind its facets; infinite where the wall is farther than the reach. */
function signedToSheet(sheet: IndexedSurface, p: Vec3, reachMm: number): number {
  const near = closestPoint(sheet, p, Math.max(reachMm, DEEPEST_MM));
  if (near === null) return Number.POSITIVE_INFINITY;
  const a = vertexAt(sheet.corners, 3 * near.place);
  const n = cross(
    sub(vertexAt(sheet.corners, 3 * near.place + 1), a),
    sub(vertexAt(sheet.corners, 3 * near.place + 2), a),
  );
  const way = sub(p, near.point);
  const along = dot(way, n);
  // Beside the rim of the wall the nearest place is no foot of a perpendicular: nothing is known of the side there.
  if (Math.abs(along) < LEAST_FOOT_COSINE * length(way) * length(n)) return Number.POSITIVE_INFINITY;
  if (along < 0) return -near.distanceMm;
  return near.distanceMm > reachMm ? Number.POSITIVE_INFINITY : near.distanceMm;
}
