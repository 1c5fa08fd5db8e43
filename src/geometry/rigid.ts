import type { Vec3 } from './types.ts';
import { normalize } from './vec3.ts';

/** x -> R x + t. `rotation` holds R row by row (9 numbers), `translation` is t in mm. */
export interface RigidMotion {
  readonly rotation: readonly number[];
  readonly translation: Vec3;
}

export const IDENTITY_MOTION: RigidMotion = { rotation: [1, 0, 0, 0, 1, 0, 0, 0, 1], translation: [0, 0, 0] };

/** Turns a direction; lengths stay. */
export function rotateDirection(motion: RigidMotion, v: Vec3): Vec3 {
  const r = motion.rotation;
  return [
    r[0]! * v[0] + r[1]! * v[1] + r[2]! * v[2],
    r[3]! * v[0] + r[4]! * v[1] + r[5]! * v[2],
    r[6]! * v[0] + r[7]! * v[1] + r[8]! * v[2],
  ];
}

/** Moves a point, mm. */
export function movePoint(motion: RigidMotion, p: Vec3): Vec3 {
  const q = rotateDirection(motion, p);
  const t = motion.translation;
  return [q[0] + t[0], q[1] + t[1], q[2] + t[2]];
}

/** The motion that undoes `motion`: x -> R' (x - t). */
export function invertMotion(motion: RigidMotion): RigidMotion {
  const r = motion.rotation;
  const rotation = [r[0]!, r[3]!, r[6]!, r[1]!, r[4]!, r[7]!, r[2]!, r[5]!, r[8]!];
  const t = rotateDirection({ rotation, translation: [0, 0, 0] }, motion.translation);
  return { rotation, translation: [-t[0], -t[1], -t[2]] };
}

/** First `first`, then `second`. */
export function composeMotions(second: RigidMotion, first: RigidMotion): RigidMotion {
  const a = second.rotation;
  const b = first.rotation;
  const rotation: number[] = [];
  for (let i = 0; i < 3; i += 1) {
    for (let j = 0; j < 3; j += 1) {
      rotation.push(a[3 * i]! * b[j]! + a[3 * i + 1]! * b[3 + j]! + a[3 * i + 2]! * b[6 + j]!);
    }
  }
  return { rotation, translation: movePoint(second, first.translation) };
}

/**
 * Rotation by `angleRad` about `axis` through `centre` (counter-clockwise seen from the axis's tip; Rodrigues'
 * formula), followed by the shift `translation`.
 */
export function rotationAbout(
  centre: Vec3,
  axis: Vec3,
  angleRad: number,
  translation: Vec3 = [0, 0, 0],
): RigidMotion {
  const [x, y, z] = normalize(axis);
  const c = Math.cos(angleRad);
  const s = Math.sin(angleRad);
  const k = 1 - c;
  const rotation = [
    c + x * x * k,
    x * y * k - z * s,
    x * z * k + y * s,
    y * x * k + z * s,
    c + y * y * k,
    y * z * k - x * s,
    z * x * k - y * s,
    z * y * k + x * s,
    c + z * z * k,
  ];
  const turned = rotateDirection({ rotation, translation: [0, 0, 0] }, centre);
  return {
    rotation,
    translation: [
      centre[0] - turned[0] + translation[0],
      centre[1] - turned[1] + translation[1],
      centre[2] - turned[2] + translation[2],
    ],
  };
}

/** Angle of the turn of a motion, 0 to pi, rad: the trace of a rotation is 1 + 2 cos. */
export function turnAngle({ rotation: r }: RigidMotion): number {
  return Math.acos(Math.max(-1, Math.min(1, (r[0]! + r[4]! + r[8]! - 1) / 2)));
}

/** New (n x 3) array of moved positions, mm. */
export function movePositions(motion: RigidMotion, positions: Float32Array): Float32Array {
  const out = new Float32Array(positions.length);
  for (let i = 0; i < positions.length; i += 3) {
    const q = movePoint(motion, [positions[i]!, positions[i + 1]!, positions[i + 2]!]);
    out[i] = q[0];
    out[i + 1] = q[1];
    out[i + 2] = q[2];
  }
  return out;
}
