import { compareLeaves, startLeafSearch } from './leaf-search.ts';
import { movePoint, type RigidMotion } from './rigid.ts';
import type { IndexedSurface } from './surface-index.ts';
import type { ClosestPair, Vec3 } from './types.ts';

export { castRay } from './cast-ray.ts';
export { closestPoint } from './closest-point.ts';
export { type IndexedSurface, indexSurface, letGoSurfaces } from './surface-index.ts';

export interface ClosestOptions {
  /** Moves B before the question is asked (A stays); the points of the answer are in A's frame. */
  readonly motionOfB?: RigidMotion;
}

/** B as seen from A: its boxes and corners, moved when a motion is given. */
function movedSurface(b: IndexedSurface, motion: RigidMotion | undefined): IndexedSurface {
  if (motion === undefined) return b;
  const r = motion.rotation;
  const corners = new Float64Array(b.corners.length);
  for (let i = 0; i < corners.length; i += 3) {
    const q = movePoint(motion, [b.corners[i]!, b.corners[i + 1]!, b.corners[i + 2]!]);
    corners[i] = q[0];
    corners[i + 1] = q[1];
    corners[i + 2] = q[2];
  }
  const boxes = new Float64Array(b.boxes.length);
  for (let n = 0; n < boxes.length; n += 6) {
    const low: Vec3 = [b.boxes[n]!, b.boxes[n + 1]!, b.boxes[n + 2]!];
    const high: Vec3 = [b.boxes[n + 3]!, b.boxes[n + 4]!, b.boxes[n + 5]!];
    const centre = movePoint(motion, [
      (low[0] + high[0]) / 2,
      (low[1] + high[1]) / 2,
      (low[2] + high[2]) / 2,
    ]);
    for (let k = 0; k < 3; k += 1) {
      let half = 0;
      for (let c = 0; c < 3; c += 1) half += Math.abs(r[3 * k + c]!) * ((high[c]! - low[c]!) / 2);
      // A box moved this way must still hold its triangles after rounding.
      const slack = ROUNDING_MM;
      boxes[n + k] = centre[k]! - half - slack;
      boxes[n + 3 + k] = centre[k]! + half + slack;
    }
  }
  const { triangles, right, first, count } = b;
  return { triangles, corners, boxes, right, first, count };
}

/** Generous bound of the rounding error of moved box corners at dental sizes (coordinates under 1e3 mm), mm. */
const ROUNDING_MM = 1e-9;

function boxDistance2(a: Float64Array, i: number, b: Float64Array, j: number): number {
  let d2 = 0;
  for (let c = 0; c < 3; c += 1) {
    const below = b[6 * j + c]! - a[6 * i + 3 + c]!;
    const above = a[6 * i + c]! - b[6 * j + 3 + c]!;
    const d = Math.max(below, above);
    if (d > 0) d2 += d * d;
  }
  return d2;
}

function boxSize2(boxes: Float64Array, i: number): number {
  const x = boxes[6 * i + 3]! - boxes[6 * i]!;
  const y = boxes[6 * i + 4]! - boxes[6 * i + 1]!;
  const z = boxes[6 * i + 5]! - boxes[6 * i + 2]!;
  return x * x + y * y + z * z;
}

/**
 * The closest pair of two surfaces if they are nearer than `maxMm`, else null. Dual depth-first walk over both trees,
 * near pairs first, pruned by box distance; the larger box is split.
 */
export function closestWithin(
  a: IndexedSurface,
  b: IndexedSurface,
  maxMm: number,
  options: ClosestOptions = {},
): ClosestPair | null {
  const surfaceB = movedSurface(b, options.motionOfB);
  const search = startLeafSearch(a, surfaceB, maxMm);
  const stack: number[] = [0, 0];
  const bound: number[] = [boxDistance2(a.boxes, 0, surfaceB.boxes, 0)];
  while (bound.length > 0) {
    const d2 = bound.pop()!;
    const j = stack.pop()!;
    const i = stack.pop()!;
    if (d2 >= search.best2) continue;
    const leafA = a.right[i] === -1;
    const leafB = surfaceB.right[j] === -1;
    if (leafA && leafB) {
      compareLeaves(search, i, j);
      continue;
    }
    const splitA = !leafA && (leafB || boxSize2(a.boxes, i) >= boxSize2(surfaceB.boxes, j));
    const i1 = splitA ? i + 1 : i;
    const j1 = splitA ? j : j + 1;
    const i2 = splitA ? a.right[i]! : i;
    const j2 = splitA ? j : surfaceB.right[j]!;
    const d1 = boxDistance2(a.boxes, i1, surfaceB.boxes, j1);
    const d3 = boxDistance2(a.boxes, i2, surfaceB.boxes, j2);
    // The nearer pair goes on the stack last and is looked at first.
    if (d1 < d3) {
      stack.push(i2, j2, i1, j1);
      bound.push(d3, d1);
    } else {
      stack.push(i1, j1, i2, j2);
      bound.push(d1, d3);
    }
  }
  return search.found;
}

/**
 * Exact smallest distance of two surfaces with the points that attain it (vertex-face and edge-edge alike). Surfaces
 * that run through each other have distance 0; how deep they do is another question.
 */
export function closestBetween(
  a: IndexedSurface,
  b: IndexedSurface,
  options: ClosestOptions = {},
): ClosestPair {
  const pair = closestWithin(a, b, Number.POSITIVE_INFINITY, options);
  if (pair === null) throw new RangeError('two surfaces without a finite distance');
  return pair;
}
