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
 * @param mayBeNear - tells triangles apart that are too far from every point anyway; left out: all are looked at
 */
export function nearestOnMesh(
  mesh: TriangleMesh,
  points: readonly Vec3[],
  maxMm: number,
  mayBeNear?: (triangle: number) => boolean,
): (SurfacePoint | null)[] {
  const { positions, triangles } = mesh;
  const best = points.map(() => maxMm * maxMm);
  const found: (SurfacePoint | null)[] = points.map(() => null);
  const reach = points.map(() => maxMm);
  const count = triangles.length / 3;
  for (let f = 0; f < count; f++) {
    if (mayBeNear && !mayBeNear(f)) continue;
    const a = 3 * triangles[3 * f]!;
    const b = 3 * triangles[3 * f + 1]!;
    const c = 3 * triangles[3 * f + 2]!;
    for (let q = 0; q < points.length; q++) {
      const p = points[q]!;
      if (outside(positions, a, b, c, p, reach[q]!)) continue;
      const near = nearestOnTriangle(p, corner(positions, a), corner(positions, b), corner(positions, c));
      const d2 = squaredDistance(near, p);
      if (d2 > best[q]! || (found[q] !== null && d2 === best[q])) continue;
      best[q] = d2;
      reach[q] = Math.sqrt(d2);
      found[q] = { point: near, triangle: f, distanceMm: Math.sqrt(d2) };
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

function corner(positions: Float32Array, offset: number): Vec3 {
  return [positions[offset]!, positions[offset + 1]!, positions[offset + 2]!];
}

function squaredDistance(a: Vec3, b: Vec3): number {
  return (a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2 + (a[2] - b[2]) ** 2;
}

/** Nearest point of a triangle by its Voronoi regions (Ericson, Real-Time Collision Detection, section 5.1.5). */
export function nearestOnTriangle(p: Vec3, a: Vec3, b: Vec3, c: Vec3): Vec3 {
  const ab: Vec3 = [b[0] - a[0], b[1] - a[1], b[2] - a[2]];
  const ac: Vec3 = [c[0] - a[0], c[1] - a[1], c[2] - a[2]];
  const ap: Vec3 = [p[0] - a[0], p[1] - a[1], p[2] - a[2]];
  const d1 = ab[0] * ap[0] + ab[1] * ap[1] + ab[2] * ap[2];
  const d2 = ac[0] * ap[0] + ac[1] * ap[1] + ac[2] * ap[2];
  if (d1 <= 0 && d2 <= 0) return a;
  const bp: Vec3 = [p[0] - b[0], p[1] - b[1], p[2] - b[2]];
  const d3 = ab[0] * bp[0] + ab[1] * bp[1] + ab[2] * bp[2];
  const d4 = ac[0] * bp[0] + ac[1] * bp[1] + ac[2] * bp[2];
  if (d3 >= 0 && d4 <= d3) return b;
  const vc = d1 * d4 - d3 * d2;
  if (vc <= 0 && d1 >= 0 && d3 <= 0) return along(a, ab, d1 / (d1 - d3));
  const cp: Vec3 = [p[0] - c[0], p[1] - c[1], p[2] - c[2]];
  const d5 = ab[0] * cp[0] + ab[1] * cp[1] + ab[2] * cp[2];
  const d6 = ac[0] * cp[0] + ac[1] * cp[1] + ac[2] * cp[2];
  if (d6 >= 0 && d5 <= d6) return c;
  const vb = d5 * d2 - d1 * d6;
  if (vb <= 0 && d2 >= 0 && d6 <= 0) return along(a, ac, d2 / (d2 - d6));
  const va = d3 * d6 - d5 * d4;
  if (va <= 0 && d4 - d3 >= 0 && d5 - d6 >= 0) {
    const bc: Vec3 = [c[0] - b[0], c[1] - b[1], c[2] - b[2]];
    return along(b, bc, (d4 - d3) / (d4 - d3 + (d5 - d6)));
  }
  const scale = 1 / (va + vb + vc);
  return along(along(a, ab, vb * scale), ac, vc * scale);
}

function along(a: Vec3, d: Vec3, s: number): Vec3 {
  return [a[0] + s * d[0], a[1] + s * d[1], a[2] + s * d[2]];
}
