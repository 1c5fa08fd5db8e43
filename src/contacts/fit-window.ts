import type { Vec3 } from '../geometry/types.ts';
import { cross, dot, normalize, perpendicularTo, sub } from '../geometry/vec3.ts';
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
  const { places, wall } = region;
  const { positions } = arch.mesh;
  const { normals } = arch;
  const { origin, u: a, v: b, w: c } = frame;
  for (let i = 0; i < places.length; i += 1) {
    const at = 3 * wall.vertices[places[i]!]!;
    const dx = positions[at]! - origin[0];
    const dy = positions[at + 1]! - origin[1];
    const dz = positions[at + 2]! - origin[2];
    const u = dx * a[0] + dy * a[1] + dz * a[2];
    const v = dx * b[0] + dy * b[1] + dz * b[2];
    const z = dx * c[0] + dy * c[1] + dz * c[2];
    if (u * u + v * v >= radiusMm * radiusMm || Math.abs(z) >= depthMm) continue;
    const cosine = normals[at]! * c[0] + normals[at + 1]! * c[1] + normals[at + 2]! * c[2];
    if (side * cosine <= FACING_COSINE) continue;
    uvz.push(u, v, z);
  }
  return { uvz: Float64Array.from(uvz), count: uvz.length / 3 };
}
