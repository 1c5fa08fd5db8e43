import type { SurfacePoint } from './closest-point.ts';
import type { IndexedSurface } from './surface-index.ts';
import type { Vec3 } from './types.ts';
import { cross, dot, length, sub, vertexAt } from './vec3.ts';

/** Full solid angle. */
const FULL = 4 * Math.PI;
/** A point counts as inside above this share; halfway, as on a surface with holes neither side is exact. */
const INSIDE_SHARE = 0.5;

/**
 * Generalised winding number of a point: the solid angle under which it sees the surface, over 4 pi. 1 inside a closed
 * surface with outward triangles, 0 outside, in between near holes (A. Jacobson, L. Kavan, O. Sorkine-Hornung, Robust
 * inside-outside segmentation using generalized winding numbers, ACM Trans. Graph. 32 (2013) 33). Solid angle of a
 * triangle after A. van Oosterom, J. Strackee, IEEE Trans. Biomed. Eng. 30 (1983) 125. Linear in the triangles.
 */
export function windingNumber(surface: IndexedSurface, p: Vec3): number {
  const c = surface.corners;
  let sum = 0;
  for (let i = 0; i < c.length; i += 9) {
    const ax = c[i]! - p[0];
    const ay = c[i + 1]! - p[1];
    const az = c[i + 2]! - p[2];
    const bx = c[i + 3]! - p[0];
    const by = c[i + 4]! - p[1];
    const bz = c[i + 5]! - p[2];
    const dx = c[i + 6]! - p[0];
    const dy = c[i + 7]! - p[1];
    const dz = c[i + 8]! - p[2];
    const a = Math.sqrt(ax * ax + ay * ay + az * az);
    const b = Math.sqrt(bx * bx + by * by + bz * bz);
    const d = Math.sqrt(dx * dx + dy * dy + dz * dz);
    const det = ax * (by * dz - bz * dy) + ay * (bz * dx - bx * dz) + az * (bx * dy - by * dx);
    const den =
      a * b * d +
      (ax * bx + ay * by + az * bz) * d +
      (bx * dx + by * dy + bz * dz) * a +
      (dx * ax + dy * ay + dz * az) * b;
    sum += 2 * Math.atan2(det, den);
  }
  return sum / FULL;
}

/** Whether a point lies in the box around the whole surface. */
export function isInBox(surface: IndexedSurface, p: Vec3): boolean {
  return p.every((x, k) => x >= surface.boxes[k]! && x <= surface.boxes[3 + k]!);
}

/** Whether a point lies inside a surface that is closed or nearly so, whichever way its triangles turn. */
export function isInside(surface: IndexedSurface, p: Vec3): boolean {
  return isInBox(surface, p) && Math.abs(windingNumber(surface, p)) > INSIDE_SHARE;
}

/** Beyond this cosine between the way to the nearest point and the facet's normal, the facet decides the side. */
const SURE_COSINE = 0.99;

/**
 * The same question when the nearest point is known: where it lies inside a facet, the facet's normal answers at once;
 * only next to edges and corners the winding number is asked.
 * @param near - nearest point of `surface` to p
 * @param turned - 1 when the triangles of the surface face outwards, -1 when inwards ({@link facingOf})
 */
export function isInsideNear(surface: IndexedSurface, p: Vec3, near: SurfacePoint, turned: 1 | -1): boolean {
  const a = vertexAt(surface.corners, 3 * near.place);
  const n = cross(
    sub(vertexAt(surface.corners, 3 * near.place + 1), a),
    sub(vertexAt(surface.corners, 3 * near.place + 2), a),
  );
  const way = sub(p, near.point);
  const cosine = dot(way, n) / (length(way) * length(n));
  if (Math.abs(cosine) > SURE_COSINE) return cosine * turned < 0;
  return isInside(surface, p);
}

/** Which way the triangles of a closed surface face, by the sign of the volume they enclose. */
export function facingOf(surface: IndexedSurface): 1 | -1 {
  const c = surface.corners;
  const o = vertexAt(c, 0);
  let volume = 0;
  for (let i = 0; i < c.length / 3; i += 3) {
    const a = sub(vertexAt(c, i), o);
    volume += dot(a, cross(sub(vertexAt(c, i + 1), o), sub(vertexAt(c, i + 2), o)));
  }
  return volume >= 0 ? 1 : -1;
}
