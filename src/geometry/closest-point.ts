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

function distance2ToBox(boxes: Float64Array, i: number, p: Vec3): number {
  let d2 = 0;
  for (let c = 0; c < 3; c += 1) {
    const d = Math.max(boxes[6 * i + c]! - p[c]!, p[c]! - boxes[6 * i + 3 + c]!);
    if (d > 0) d2 += d * d;
  }
  return d2;
}

/**
 * Nearest point of a surface, or null when none lies nearer than `maxMm`.
 * @param p - mm, in the surface's frame
 */
export function closestPoint(
  surface: IndexedSurface,
  p: Vec3,
  maxMm: number = Number.POSITIVE_INFINITY,
): SurfacePoint | null {
  let best2 = maxMm * maxMm;
  let found: SurfacePoint | null = null;
  const t = new Float64Array(9);
  const q = new Float64Array(3);
  const stack: number[] = [0];
  while (stack.length > 0) {
    const i = stack.pop()!;
    if (distance2ToBox(surface.boxes, i, p) >= best2) continue;
    const right = surface.right[i]!;
    if (right >= 0) {
      const leftFirst = distance2ToBox(surface.boxes, i + 1, p) < distance2ToBox(surface.boxes, right, p);
      stack.push(leftFirst ? right : i + 1, leftFirst ? i + 1 : right);
      continue;
    }
    for (let m = surface.first[i]!; m < surface.first[i]! + surface.count[i]!; m += 1) {
      t.set(surface.corners.subarray(9 * m, 9 * m + 9));
      const d2 = closestPointOnTriangle(t, p[0], p[1], p[2], q);
      if (d2 < best2) {
        best2 = d2;
        found = {
          distanceMm: Math.sqrt(d2),
          point: [q[0]!, q[1]!, q[2]!],
          triangle: surface.triangles[m]!,
          place: m,
        };
      }
    }
  }
  return found;
}
