import type { IndexedSurface } from './surface-index.ts';
import type { Vec3 } from './types.ts';

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

/** Whether a point lies inside a surface that is closed or nearly so, whichever way its triangles turn. */
export function isInside(surface: IndexedSurface, p: Vec3): boolean {
  return Math.abs(windingNumber(surface, p)) > INSIDE_SHARE;
}
