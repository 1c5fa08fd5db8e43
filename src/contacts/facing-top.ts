import { gatherPoints } from '../geometry/gather-points.ts';
import { letGo } from '../geometry/let-go.ts';
import { select } from '../geometry/median.ts';
import type { Vec3 } from '../geometry/types.ts';
import { scale } from '../geometry/vec3.ts';
import type { SeenCrown } from './crown-axes.ts';
import { FACING_COSINE } from './tolerances.ts';

/** Points and how far out each lies, mm. */
export interface OutPoints {
  /** (n x 3) */
  readonly points: Float64Array;
  readonly heights: Float64Array;
}

/** Mean of the points higher than a height; not a number where there is none. */
export function meanAbove({ points, heights }: OutPoints, height: number): Vec3 {
  const sum: [number, number, number] = [0, 0, 0];
  let count = 0;
  for (let i = 0; i < heights.length; i += 1) {
    if (!(heights[i]! > height)) continue;
    for (let c = 0; c < 3; c += 1) sum[c]! += points[3 * i + c]!;
    count += 1;
  }
  return scale(sum, 1 / count);
}

/**
 * The outer part of a wall, the farthest out first.
 *
 * @param out - unit
 * @param anchor - points down to `depthMm` below the one after so many that lie farther out
 */
export function facingTop(
  { points, normals }: SeenCrown,
  out: Vec3,
  anchor: number,
  depthMm: number,
): OutPoints {
  const [x, y, z] = out;
  const facing = new Uint32Array(points.length / 3);
  let count = 0;
  const all = new Float64Array(points.length / 3);
  for (let i = 0; i < all.length; i += 1) {
    all[i] = points[3 * i]! * x + points[3 * i + 1]! * y + points[3 * i + 2]! * z;
    const faces = normals[3 * i]! * x + normals[3 * i + 1]! * y + normals[3 * i + 2]! * z;
    if (faces > FACING_COSINE) facing[count++] = i;
  }
  if (count === 0) return { points: new Float64Array(0), heights: new Float64Array(0) };
  const heights = new Float64Array(count);
  for (let k = 0; k < count; k += 1) heights[k] = all[facing[k]!]!;
  const lowest = select(heights, Math.max(0, count - 1 - anchor)) - depthMm;
  let kept = 0;
  for (let k = 0; k < count; k += 1) {
    const i = facing[k]!;
    if (all[i]! > lowest) facing[kept++] = i;
  }
  const top = facing.subarray(0, kept).sort((i, j) => all[j]! - all[i]!);
  const sorted = { points: gatherPoints(points, top), heights: new Float64Array(kept) };
  for (let k = 0; k < kept; k += 1) sorted.heights[k] = all[top[k]!]!;
  letGo(all, facing, heights);
  return sorted;
}
