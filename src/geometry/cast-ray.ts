import type { IndexedSurface } from './surface-index.ts';
import type { Vec3 } from './types.ts';

/** Where a ray first meets a surface. */
export interface RayHit {
  /** Along the ray, in units of its direction's length (mm for a unit direction). */
  readonly distanceMm: number;
  readonly point: Vec3;
  /** Triangle of the mesh. */
  readonly triangle: number;
}

/**
 * A ray through a shared edge must hit one of the two triangles: barycentric coordinates this little below zero still
 * count (relative, far above rounding in double precision, far below any triangle that matters).
 */
const EDGE_SLACK = 1e-9;

/** Whether the ray enters box i before `limit`. */
function entersBox(boxes: Float64Array, i: number, o: Vec3, inverse: Vec3, limit: number): boolean {
  let near = 0;
  let far = limit;
  for (let c = 0; c < 3; c += 1) {
    const toLow = boxes[6 * i + c]! - o[c]!;
    const toHigh = boxes[6 * i + 3 + c]! - o[c]!;
    if (!Number.isFinite(inverse[c]!)) {
      // The ray runs along this pair of sides: it is between them or it misses (0 times infinity has no answer).
      if (toLow > 0 || toHigh < 0) return false;
      continue;
    }
    const a = toLow * inverse[c]!;
    const b = toHigh * inverse[c]!;
    near = Math.max(near, Math.min(a, b));
    far = Math.min(far, Math.max(a, b));
  }
  return near <= far + EDGE_SLACK * (1 + Math.abs(far));
}

/**
 * Distance along the ray to one triangle, or -1. After T. Moeller and B. Trumbore, Fast, minimum storage
 * ray/triangle intersection, J. Graphics Tools 2 (1997) 21-28; both sides count.
 */
function hitTriangle(t: Float64Array, m: number, o: Vec3, d: Vec3): number {
  const k = 9 * m;
  const ax = t[k]!;
  const ay = t[k + 1]!;
  const az = t[k + 2]!;
  const e1x = t[k + 3]! - ax;
  const e1y = t[k + 4]! - ay;
  const e1z = t[k + 5]! - az;
  const e2x = t[k + 6]! - ax;
  const e2y = t[k + 7]! - ay;
  const e2z = t[k + 8]! - az;
  const px = d[1] * e2z - d[2] * e2y;
  const py = d[2] * e2x - d[0] * e2z;
  const pz = d[0] * e2y - d[1] * e2x;
  const det = e1x * px + e1y * py + e1z * pz;
  if (det === 0) return -1;
  const tx = o[0] - ax;
  const ty = o[1] - ay;
  const tz = o[2] - az;
  const u = (tx * px + ty * py + tz * pz) / det;
  if (u < -EDGE_SLACK || u > 1 + EDGE_SLACK) return -1;
  const qx = ty * e1z - tz * e1y;
  const qy = tz * e1x - tx * e1z;
  const qz = tx * e1y - ty * e1x;
  const v = (d[0] * qx + d[1] * qy + d[2] * qz) / det;
  if (v < -EDGE_SLACK || u + v > 1 + EDGE_SLACK) return -1;
  return (e2x * qx + e2y * qy + e2z * qz) / det;
}

/**
 * First place where the ray `origin + s direction`, 0 <= s <= `maxMm`, meets the surface from either side; null when
 * it meets none.
 * @param direction - unit vector, else distances are in multiples of its length
 */
export function castRay(
  surface: IndexedSurface,
  origin: Vec3,
  direction: Vec3,
  maxMm: number = Number.POSITIVE_INFINITY,
): RayHit | null {
  const inverse: Vec3 = [1 / direction[0], 1 / direction[1], 1 / direction[2]];
  let best = maxMm;
  let triangle = -1;
  const stack: number[] = [0];
  while (stack.length > 0) {
    const i = stack.pop()!;
    if (!entersBox(surface.boxes, i, origin, inverse, best)) continue;
    const right = surface.right[i]!;
    if (right >= 0) {
      stack.push(right, i + 1);
      continue;
    }
    for (let m = surface.first[i]!; m < surface.first[i]! + surface.count[i]!; m += 1) {
      const s = hitTriangle(surface.corners, m, origin, direction);
      if (s >= 0 && s <= best && (s < best || triangle < 0)) {
        best = s;
        triangle = surface.triangles[m]!;
      }
    }
  }
  if (triangle < 0) return null;
  return {
    distanceMm: best,
    point: [
      origin[0] + best * direction[0],
      origin[1] + best * direction[1],
      origin[2] + best * direction[2],
    ],
    triangle,
  };
}
