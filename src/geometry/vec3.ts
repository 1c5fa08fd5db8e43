import type { Vec3 } from './types.ts';

/** Sum a + b. */
export function add(a: Vec3, b: Vec3): Vec3 {
  return [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
}

/** Difference a - b. */
export function sub(a: Vec3, b: Vec3): Vec3 {
  return [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
}

/** a times the number s. */
export function scale(a: Vec3, s: number): Vec3 {
  return [a[0] * s, a[1] * s, a[2] * s];
}

/** a + s b, the point at s along b from a. */
export function addScaled(a: Vec3, b: Vec3, s: number): Vec3 {
  return [a[0] + s * b[0], a[1] + s * b[1], a[2] + s * b[2]];
}

/** Inner product. */
export function dot(a: Vec3, b: Vec3): number {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

/** Right-handed vector product a x b. */
export function cross(a: Vec3, b: Vec3): Vec3 {
  return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
}

/** Euclidean length. */
export function length(a: Vec3): number {
  return Math.sqrt(dot(a, a));
}

/** Distance between two points. */
export function distance(a: Vec3, b: Vec3): number {
  return length(sub(a, b));
}

/** Unit vector along a; the zero vector stays zero (its length is for the caller to judge). */
export function normalize(a: Vec3): Vec3 {
  const l = length(a);
  return l > 0 ? scale(a, 1 / l) : [0, 0, 0];
}

/** The point a + s (b - a): a at s = 0, b at s = 1. */
export function lerp(a: Vec3, b: Vec3, s: number): Vec3 {
  return [a[0] + s * (b[0] - a[0]), a[1] + s * (b[1] - a[1]), a[2] + s * (b[2] - a[2])];
}

/** The part of a that is perpendicular to the unit vector n. */
export function perpendicularTo(a: Vec3, n: Vec3): Vec3 {
  return addScaled(a, n, -dot(a, n));
}

/**
 * Vertex i of an (n x 3) position array.
 * @throws RangeError when the array has no such vertex: an index fault in the caller, never the user's
 */
export function vertexAt(positions: ArrayLike<number>, i: number): Vec3 {
  const x = positions[3 * i];
  const y = positions[3 * i + 1];
  const z = positions[3 * i + 2];
  if (x === undefined || y === undefined || z === undefined) {
    throw new RangeError(`vertex ${i} of ${positions.length / 3}`);
  }
  return [x, y, z];
}
