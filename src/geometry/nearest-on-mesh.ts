import { closestPointOnTriangle } from './triangle-distance.ts';
import type { TriangleMesh, Vec3 } from './types.ts';

/** Where a point lands on a mesh. */
export interface SurfacePoint {
  readonly point: Vec3;
  readonly triangle: number;
  readonly distanceMm: number;
}

/**
 * Nearest surface points of a few query points, each within `maxMm`; null where nothing is that near. One pass over
 * all triangles with a box test first: for a handful of points this costs less than building any tree.
 *
 * @param among - triangles that are looked at, in rising order; left out: all
 */
export function nearestOnMesh(
  mesh: TriangleMesh,
  points: readonly Vec3[],
  maxMm: number,
  among?: ArrayLike<number>,
): (SurfacePoint | null)[] {
  const { positions, triangles } = mesh;
  const best = points.map(() => maxMm * maxMm);
  const found: (SurfacePoint | null)[] = points.map(() => null);
  const reach = points.map(() => maxMm);
  const count = among?.length ?? triangles.length / 3;
  const corners = new Float64Array(9);
  const near = new Float64Array(3);
  for (let k = 0; k < count; k++) {
    const f = among ? among[k]! : k;
    const a = 3 * triangles[3 * f]!;
    const b = 3 * triangles[3 * f + 1]!;
    const c = 3 * triangles[3 * f + 2]!;
    for (let q = 0; q < points.length; q++) {
      const p = points[q]!;
      if (outside(positions, a, b, c, p, reach[q]!)) continue;
      for (let axis = 0; axis < 3; axis++) {
        corners[axis] = positions[a + axis]!;
        corners[3 + axis] = positions[b + axis]!;
        corners[6 + axis] = positions[c + axis]!;
      }
      const d2 = closestPointOnTriangle(corners, p[0], p[1], p[2], near);
      if (d2 > best[q]! || (found[q] !== null && d2 === best[q])) continue;
      best[q] = d2;
      reach[q] = Math.sqrt(d2);
      found[q] = { point: [near[0]!, near[1]!, near[2]!], triangle: f, distanceMm: Math.sqrt(d2) };
    }
  }
  return found;
}

function outside(positions: Float32Array, a: number, b: number, c: number, p: Vec3, reach: number): boolean {
  for (let k = 0; k < 3; k++) {
    const low = p[k]! - reach;
    const high = p[k]! + reach;
    const u = positions[a + k]!;
    const v = positions[b + k]!;
    const w = positions[c + k]!;
    if ((u < low && v < low && w < low) || (u > high && v > high && w > high)) return true;
  }
  return false;
}
