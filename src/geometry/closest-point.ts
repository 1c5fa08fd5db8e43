import type { IndexedSurface } from './surface-index.ts';
import { closestPointOnTriangle } from './triangle-distance.ts';
import type { Vec3 } from './types.ts';

/** The point of a surface nearest to the point asked about. */
export interface SurfacePoint {
  readonly distanceMm: number;
  readonly point: Vec3;
  /** Triangle of the mesh. */
  readonly triangle: number;
  /** Its place in the surface's own order. */
  readonly place: number;
}

function distance2ToBox(boxes: Float64Array, i: number, x: number, y: number, z: number): number {
  const at = 6 * i;
  const dx = Math.max(boxes[at]! - x, x - boxes[at + 3]!, 0);
  const dy = Math.max(boxes[at + 1]! - y, y - boxes[at + 4]!, 0);
  const dz = Math.max(boxes[at + 2]! - z, z - boxes[at + 5]!, 0);
  return dx * dx + dy * dy + dz * dz;
}

/** Nodes still to be looked at; a query runs to its end before the next one begins, and leaves the stack empty. */
const stack: number[] = [];
const near = new Float64Array(3);

/**
 * Nearest point of a surface, or null when none lies nearer than `maxMm`.
 * @param p - mm, in the surface's frame
 */
export function closestPoint(
  surface: IndexedSurface,
  p: Vec3,
  maxMm: number = Number.POSITIVE_INFINITY,
): SurfacePoint | null {
  const { boxes, corners } = surface;
  const [x, y, z] = p;
  let best2 = maxMm * maxMm;
  let place = -1;
  const q: [number, number, number] = [0, 0, 0];
  stack.push(0);
  while (stack.length > 0) {
    const i = stack.pop()!;
    if (distance2ToBox(boxes, i, x, y, z) >= best2) continue;
    const right = surface.right[i]!;
    if (right >= 0) {
      const toLeft = distance2ToBox(boxes, i + 1, x, y, z);
      const toRight = distance2ToBox(boxes, right, x, y, z);
      const leftFirst = toLeft < toRight;
      if ((leftFirst ? toRight : toLeft) < best2) stack.push(leftFirst ? right : i + 1);
      if ((leftFirst ? toLeft : toRight) < best2) stack.push(leftFirst ? i + 1 : right);
      continue;
    }
    const end = surface.first[i]! + surface.count[i]!;
    for (let m = surface.first[i]!; m < end; m += 1) {
      const d2 = closestPointOnTriangle(corners, x, y, z, near, 9 * m);
      if (d2 >= best2) continue;
      best2 = d2;
      place = m;
      q[0] = near[0]!;
      q[1] = near[1]!;
      q[2] = near[2]!;
    }
  }
  if (place < 0) return null;
  return { distanceMm: Math.sqrt(best2), point: q, triangle: surface.triangles[place]!, place };
}
