import { choleskyFactor, choleskySolve } from '../geometry/cholesky.ts';
import { median } from '../geometry/median.ts';
import { MAD_TO_SIGMA, TUKEY_CUT } from '../geometry/robust-scale.ts';
import { nearestPatch, type SurfacePatches } from '../geometry/surface-patches.ts';
import type { Vec3 } from '../geometry/types.ts';
import { addScaled, cross, normalize, perpendicularTo } from '../geometry/vec3.ts';

/** Fewer patches than this tell no plane. */
const LEAST_PATCHES = 60;
/** Mirrored patches farther from the crown than this have no counterpart, mm. */
const REACH_MM = 1.2;
/** ... nor those whose normals differ by more than this (cosine): another wall, an edge. */
const ALIKE_COSINE = 0.5;
const MOST_ROUNDS = 15;
/** Changes below this (rad, mm) end the search. */
const SETTLED = 1e-3;
/** The plane is looked for within this of the arch's direction, rad (20 degrees). */
const MOST_TURN_RAD = 0.35;
/** Standard deviation of crowns about the arch's direction, as far as it holds the search, rad. */
const USUAL_TURN_RAD = 0.2;
/** Against that, all patches of a crown count as so many: how the halves differ hangs together over a wall. */
const FULL_PATCHES = 150;
/** Halves of real crowns differ by this much anyway: the robust weights do not fall for less, mm. */
const LEAST_SPREAD_MM = 0.05;

/**
 * Normal of the plane that mirrors a crown best onto itself: its mesiodistal axis, as the mesial and the distal half of
 * a crown are alike. Patches are mirrored at the plane and the plane moved until they lie on the crown again: iterated
 * closest points with the symmetric distance, along the sum of both patches' normals (S. Rusinkiewicz, A symmetric
 * objective function for ICP, ACM Trans. Graph. 38 (2019) 85), which is zero for two places of one curved wall, so that
 * it matters little which of its patches is the nearest. Tukey's weights, as the halves are not quite alike and webs hide
 * one of them here and there.
 *
 * @param patches - the crown's visible walls and top, away from gum and webs, in the frame where x is the direction of
 *   the arch at the tooth, where the search begins, and z the occlusal axis
 * @returns unit vector in the same frame, x > 0; null when too little is seen or no plane within 20 degrees is found
 */
export function mirrorAxis(patches: SurfacePatches): Vec3 | null {
  if (patches.count < LEAST_PATCHES) return null;
  const turned: [number, number] = [0, 0];
  let axis: Vec3 = [1, 0, 0];
  let placeMm = middleOf(patches);
  const room = new Float64Array(4 * patches.count);
  for (let round = 0; round < MOST_ROUNDS; round += 1) {
    const upright = normalize(perpendicularTo([0, 0, 1], axis));
    const across = cross(upright, axis);
    const change = robustStep(mirrorRows(patches, { axis, across, upright, placeMm }, room), turned);
    if (change === null) return null;
    for (let k = 0; k < 2; k += 1) turned[k]! += change[k]!;
    axis = normalize(addScaled(addScaled(axis, across, change[0]!), upright, change[1]!));
    placeMm += change[2]!;
    if (axis[0] < Math.cos(MOST_TURN_RAD)) return null;
    if (Math.hypot(...change) < SETTLED) return axis;
  }
  return axis;
}

interface Plane {
  readonly axis: Vec3;
  readonly across: Vec3;
  readonly upright: Vec3;
  /** Distance of the plane from the origin along the axis, mm. */
  readonly placeMm: number;
}

/** Middle of the patches along x, mm. */
function middleOf({ points, count }: SurfacePatches): number {
  let sum = 0;
  for (let i = 0; i < points.length; i += 3) sum += points[i]!;
  return sum / count;
}

/**
 * Rows of four: derivatives of the distance of a mirrored patch from the crown by the plane's angles and place, itself.
 * Written out in coordinates: this is most of what sizing a crown takes.
 *
 * @param rows - room for one row per patch, overwritten
 * @returns the rows filled, a part of the room
 */
function mirrorRows(
  patches: SurfacePatches,
  { axis, across, upright, placeMm }: Plane,
  rows: Float64Array,
): Float64Array {
  const { points, normals, count } = patches;
  const [ax, ay, az] = axis;
  const [bx, by, bz] = across;
  const [ux, uy, uz] = upright;
  const asideMm2 = patches.cellMm ** 2;
  let used = 0;
  for (let i = 0; i < 3 * count; i += 3) {
    const x = points[i]!;
    const y = points[i + 1]!;
    const z = points[i + 2]!;
    const height = ax * x + ay * y + az * z - placeMm;
    const mirroredX = x - 2 * height * ax;
    const mirroredY = y - 2 * height * ay;
    const mirroredZ = z - 2 * height * az;
    const near = 3 * nearestPatch(patches, mirroredX, mirroredY, mirroredZ, REACH_MM);
    if (near < 0) continue;
    const turn = 2 * (normals[i]! * ax + normals[i + 1]! * ay + normals[i + 2]! * az);
    const facingX = normals[i]! - turn * ax;
    const facingY = normals[i + 1]! - turn * ay;
    const facingZ = normals[i + 2]! - turn * az;
    const otherX = normals[near]!;
    const otherY = normals[near + 1]!;
    const otherZ = normals[near + 2]!;
    const alike = facingX * otherX + facingY * otherY + facingZ * otherZ;
    if (alike < ALIKE_COSINE) continue;
    // The sum of two unit vectors.
    const length = Math.sqrt(2 + 2 * alike);
    const nx = (facingX + otherX) / length;
    const ny = (facingY + otherY) / length;
    const nz = (facingZ + otherZ) / length;
    const dx = mirroredX - points[near]!;
    const dy = mirroredY - points[near + 1]!;
    const dz = mirroredZ - points[near + 2]!;
    const off = nx * dx + ny * dy + nz * dz;
    // Beside the end of what is seen the nearest patch is not the counterpart.
    if (dx * dx + dy * dy + dz * dz - off * off > asideMm2) continue;
    const along = nx * ax + ny * ay + nz * az;
    const sideways = bx * x + by * y + bz * z;
    const up = ux * x + uy * y + uz * z;
    rows[used] = -2 * (sideways * along + height * (nx * bx + ny * by + nz * bz));
    rows[used + 1] = -2 * (up * along + height * (nx * ux + ny * uy + nz * uz));
    rows[used + 2] = 2 * along;
    rows[used + 3] = off;
    used += 4;
  }
  return rows.subarray(0, used);
}

/**
 * Weighted Gauss-Newton step of rows of four (three derivatives, residual); null when they do not determine it.
 * @param turned - how far the two angles have gone already, rad: a round crown, alike on any plane, is held to the arch
 */
function robustStep(rows: Float64Array, turned: readonly number[]): Float64Array | null {
  const count = rows.length / 4;
  if (count < LEAST_PATCHES) return null;
  const sizes = new Float64Array(count);
  for (let i = 0; i < count; i += 1) sizes[i] = Math.abs(rows[4 * i + 3]!);
  const spread = Math.max(LEAST_SPREAD_MM, MAD_TO_SIGMA * median(sizes));
  const cut = TUKEY_CUT * spread;
  const G = new Float64Array(9);
  const g = new Float64Array(3);
  for (let i = 0; i < rows.length; i += 4) {
    const off = rows[i + 3]!;
    const u = off / cut;
    if (Math.abs(u) >= 1) continue;
    const weight = (1 - u * u) ** 2;
    for (let r = 0; r < 3; r += 1) {
      const weighted = weight * rows[i + r]!;
      g[r]! -= weighted * off;
      for (let c = 0; c <= r; c += 1) G[3 * r + c]! += weighted * rows[i + c]!;
    }
  }
  const hold = (spread / USUAL_TURN_RAD) ** 2 * (count / FULL_PATCHES);
  for (let k = 0; k < 2; k += 1) {
    G[4 * k]! += hold;
    g[k]! -= hold * turned[k]!;
  }
  if (!choleskyFactor(G, 3)) return null;
  choleskySolve(G, 3, g);
  return g;
}
