import type { Vec3 } from '../geometry/types.ts';
import { cross, dot, normalize, perpendicularTo, sub, vertexAt } from '../geometry/vec3.ts';
import type { ArchSurface } from './arch-surface.ts';
import type { WindowPoints } from './fit-patch.ts';
import type { WallRegion } from './proximal-wall.ts';
import { FACING_COSINE } from './tolerances.ts';

/** A round window across the space: origin between the walls, w from A to B. Right-handed unit axes. */
export interface WindowFrame {
  readonly origin: Vec3;
  readonly u: Vec3;
  readonly v: Vec3;
  readonly w: Vec3;
}

/** @param up - any direction not parallel to w; u is w x up */
export function windowFrame(origin: Vec3, w: Vec3, up: Vec3): WindowFrame {
  const v = normalize(perpendicularTo(up, w));
  return { origin, u: cross(v, w), v, w };
}

/** Scan frame to window frame, mm. */
export function toWindow(frame: WindowFrame, p: Vec3): Vec3 {
  const d = sub(p, frame.origin);
  return [dot(d, frame.u), dot(d, frame.v), dot(d, frame.w)];
}

/** Window frame to scan frame, mm. */
export function fromWindow(frame: WindowFrame, u: number, v: number, z: number): Vec3 {
  const { origin: o, u: a, v: b, w: c } = frame;
  return [
    o[0] + u * a[0] + v * b[0] + z * c[0],
    o[1] + u * a[1] + v * b[1] + z * c[1],
    o[2] + u * a[2] + v * b[2] + z * c[2],
  ];
}

/**
 * The points of a wall region inside the window that face along it.
 * @param radiusMm - of the window
 * @param depthMm - largest height to either side of the origin
 * @param side - 1 for wall A (normals along w), -1 for wall B
 */
export function windowPoints(
  arch: ArchSurface,
  region: WallRegion,
  frame: WindowFrame,
  radiusMm: number,
  depthMm: number,
  side: 1 | -1,
): WindowPoints {
  const uvz: number[] = [];
  for (const place of region.places) {
    const vertex = region.wall.vertices[place]!;
    const q = toWindow(frame, vertexAt(arch.mesh.positions, vertex));
    if (q[0] * q[0] + q[1] * q[1] >= radiusMm * radiusMm || Math.abs(q[2]) >= depthMm) continue;
    if (side * dot(vertexAt(arch.normals, vertex), frame.w) <= FACING_COSINE) continue;
    uvz.push(q[0], q[1], q[2]);
  }
  return { uvz: Float64Array.from(uvz), count: uvz.length / 3 };
}
