import type { Vec3 } from '../geometry/types.ts';
import { dot, sub } from '../geometry/vec3.ts';
import type { OcclusalFrame } from '../teeth/types.ts';

/** A point or direction in the occlusal plane: x to the patient's left, y to the front, mm. */
export type Vec2 = readonly [number, number];

export function add2(a: Vec2, b: Vec2): Vec2 {
  return [a[0] + b[0], a[1] + b[1]];
}

export function sub2(a: Vec2, b: Vec2): Vec2 {
  return [a[0] - b[0], a[1] - b[1]];
}

export function scale2(a: Vec2, s: number): Vec2 {
  return [a[0] * s, a[1] * s];
}

export function dot2(a: Vec2, b: Vec2): number {
  return a[0] * b[0] + a[1] * b[1];
}

export function length2(a: Vec2): number {
  return Math.hypot(a[0], a[1]);
}

/** perp(x, y) = (-y, x): a quarter turn from x towards y. */
export function perp(a: Vec2): Vec2 {
  return [-a[1], a[0]];
}

/** Unit vector along a; `fallback` when a has no length. */
export function unit2(a: Vec2, fallback: Vec2): Vec2 {
  const size = length2(a);
  return size > 0 ? [a[0] / size, a[1] / size] : fallback;
}

/** A point of the scan frame seen from the crowns' tops: its x and y in the occlusal frame. */
export function projectPoint(frame: OcclusalFrame, point: Vec3): Vec2 {
  const offset = sub(point, frame.origin);
  return [dot(offset, frame.x), dot(offset, frame.y)];
}

/** A direction of the scan frame, its part in the occlusal plane; not normalised. */
export function projectDirection(frame: OcclusalFrame, direction: Vec3): Vec2 {
  return [dot(direction, frame.x), dot(direction, frame.y)];
}
