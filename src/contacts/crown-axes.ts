import { EigenvalueDecomposition, Matrix } from 'ml-matrix';
import { letGo } from '../geometry/let-go.ts';
import { averagePatches, type SurfacePatches } from '../geometry/surface-patches.ts';
import type { Vec3 } from '../geometry/types.ts';
import { add, addScaled, cross, dot, normalize, perpendicularTo, scale, vertexAt } from '../geometry/vec3.ts';
import { digitOf } from '../teeth/notation.ts';
import type { ToothNumber } from '../teeth/types.ts';
import { mirrorAxis } from './mirror-axis.ts';

/** A crown's own directions, unit, perpendicular: along the row (right to left end), across it, and its long axis. */
export interface CrownAxes {
  readonly m: Vec3;
  readonly b: Vec3;
  readonly o: Vec3;
}

/** Surface whose normal stands nearer to the occlusal axis than this (cosine) is top, not side wall. */
const SIDE_COSINE = 0.5;
/** Fewer normals than this say nothing about an axis. */
const LEAST_NORMALS = 50;
/** Side of the cubes that points and normals are averaged in, mm: two edges of a usual scan, and smooth on this scale. */
const PATCH_MM = 0.4;
/** A crown's own direction is looked for within this angle of the arch's. */
const MOST_TURN_RAD = (12 * Math.PI) / 180;
const TURN_STEP_RAD = (0.1 * Math.PI) / 180;
/**
 * Share of the mirror plane in a molar's direction, the rest is the run of its walls. Upper molars are rhomboid: the
 * first turns them one way and the second the other. Set on crowns of two makes (docs/validation.md); from 0.3 to 0.5 the
 * widths change little.
 */
const MIRROR_SHARE = 0.4;
/** First molar and behind: as wide as long, four walls. */
export const FIRST_MOLAR = 6;

/** What of a crown is seen, away from gum and webs. */
export interface SeenCrown {
  /** (n x 3) mm. */
  readonly points: Float64Array;
  /** (n x 3) unit. */
  readonly normals: Float64Array;
}

/**
 * Finds how a crown stands. A turned or tilted tooth has its width along its own axis, not along the arch: a caliper
 * is held parallel to the occlusal and to the vestibular surface (common definition, from memory). Mesiodistal axis:
 * the normal of the plane that mirrors the crown onto itself ({@link mirrorAxis}); molars, whose halves differ, lie
 * about halfway between that and the direction their buccal and lingual walls run along, and take the occlusal axis for
 * their long axis. The long axis of the others is the direction that the side walls run along, the smallest eigenvector
 * of the sum of n n' over their normals n; walls that taper alike on both sides do not tilt it. Where no mirror plane is
 * found: front teeth and premolars, the larger axis of the same sum across the long axis.
 *
 * @param tangent - arch direction at the tooth
 * @param up - occlusal axis
 */
export function crownAxes(tooth: ToothNumber, seen: SeenCrown, tangent: Vec3, up: Vec3): CrownAxes {
  const walls = sideNormals(seen, up);
  const along = normalize(perpendicularTo(tangent, up));
  const isMolar = digitOf(tooth) >= FIRST_MOLAR;
  const isShown = walls.length >= 3 * LEAST_NORMALS;
  const long = isShown && !isMolar ? longAxis(walls, up) : up;
  letGo(walls);
  if (!isShown) return { m: along, b: cross(up, along), o: up };
  const across = cross(up, along);
  const patches = patchesOf(seen, along, across, up);
  const plane = mirrorAxis(patches);
  if (isMolar) {
    const own = plane === null ? null : Math.atan2(plane[1], plane[0]);
    const parallel = wallRunTurn(patches);
    return turned(
      along,
      across,
      up,
      own === null ? parallel : MIRROR_SHARE * own + (1 - MIRROR_SHARE) * parallel,
    );
  }
  if (plane !== null) {
    const mirror = addScaled(addScaled(scale(along, plane[0]), across, plane[1]), up, plane[2]);
    const o = normalize(perpendicularTo(long, mirror));
    return { m: mirror, b: cross(o, mirror), o };
  }
  const level = normalize(perpendicularTo(tangent, long));
  return turned(level, cross(long, level), long, wallTurn(seen.normals, level, cross(long, level)));
}

function turned(along: Vec3, across: Vec3, o: Vec3, turn: number): CrownAxes {
  const m = add(scale(along, Math.cos(turn)), scale(across, Math.sin(turn)));
  return { m, b: cross(o, m), o };
}

/** (n x 3) normals of the crown's side walls. */
function sideNormals({ normals }: SeenCrown, [x, y, z]: Vec3): Float64Array {
  const sides = new Float64Array(normals.length);
  let count = 0;
  for (let i = 0; i < normals.length; i += 3) {
    const nx = normals[i]!;
    const ny = normals[i + 1]!;
    const nz = normals[i + 2]!;
    if (Math.abs(nx * x + ny * y + nz * z) > SIDE_COSINE) continue;
    sides[count] = nx;
    sides[count + 1] = ny;
    sides[count + 2] = nz;
    count += 3;
  }
  return sides.subarray(0, count);
}

function longAxis(walls: Float64Array, up: Vec3): Vec3 {
  const moments = Matrix.from1DArray(3, 3, momentsOf(walls));
  const eigen = new EigenvalueDecomposition(moments, { assumeSymmetric: true });
  const least = [0, 1, 2].sort((a, b) => eigen.realEigenvalues[a]! - eigen.realEigenvalues[b]!)[0]!;
  const [x, y, z] = [0, 1, 2].map((k) => eigen.eigenvectorMatrix.get(k, least));
  const axis = normalize([x!, y!, z!]);
  return dot(axis, up) < 0 ? scale(axis, -1) : axis;
}

/** (3 x 3) sum of n n'. */
function momentsOf(normals: Float64Array): Float64Array {
  const sum = new Float64Array(9);
  for (let n = 0; n < normals.length; n += 3) {
    for (let i = 0; i < 3; i += 1) {
      for (let j = 0; j < 3; j += 1) sum[3 * i + j]! += normals[n + i]! * normals[n + j]!;
    }
  }
  return sum;
}

/** Angle of the principal axis nearest to `along`, rad. */
function wallTurn(normals: Float64Array, along: Vec3, across: Vec3): number {
  let mm = 0;
  let mb = 0;
  let bb = 0;
  for (let i = 0; i < normals.length; i += 3) {
    const n = vertexAt(normals, i / 3);
    const u = dot(n, along);
    const v = dot(n, across);
    mm += u * u;
    mb += u * v;
    bb += v * v;
  }
  let turn = 0.5 * Math.atan2(2 * mb, mm - bb);
  if (Math.abs(turn) > Math.PI / 4) turn -= (Math.sign(turn) * Math.PI) / 2;
  return Math.min(MOST_TURN_RAD, Math.max(-MOST_TURN_RAD, turn));
}

/**
 * Angle at which the buccal and lingual walls run most nearly along the crown: the turn with the largest sum of
 * (n.b)^16, within twelve degrees of the arch, rad. The high power counts the middle of these walls, not their ends.
 */
function wallRunTurn({ normals }: SurfacePatches): number {
  let best = 0;
  let most = Number.NEGATIVE_INFINITY;
  const steps = Math.round(MOST_TURN_RAD / TURN_STEP_RAD);
  for (let k = -steps; k <= steps; k += 1) {
    const turn = k * TURN_STEP_RAD;
    const c = Math.cos(turn);
    const s = Math.sin(turn);
    let sum = 0;
    for (let i = 0; i < normals.length; i += 3) {
      const squared = (normals[i + 1]! * c - normals[i]! * s) ** 2;
      const fourth = squared * squared;
      const eighth = fourth * fourth;
      sum += eighth * eighth;
    }
    if (sum > most) {
      most = sum;
      best = turn;
    }
  }
  return best;
}

/** The crown's patches in the frame along the arch, across it and up, about the middle of its points. */
function patchesOf({ points, normals }: SeenCrown, along: Vec3, across: Vec3, up: Vec3): SurfacePatches {
  const inFrame = inAxes(points, [along, across, up]);
  for (let c = 0; c < 3; c += 1) {
    let sum = 0;
    for (let i = c; i < inFrame.length; i += 3) sum += inFrame[i]!;
    const mean = (3 * sum) / inFrame.length;
    for (let i = c; i < inFrame.length; i += 3) inFrame[i]! -= mean;
  }
  const turned = inAxes(normals, [along, across, up]);
  const patches = averagePatches(inFrame, turned, PATCH_MM);
  letGo(inFrame, turned);
  return patches;
}

/** (n x 3) coordinates along three axes. */
function inAxes(vectors: Float64Array, axes: readonly [Vec3, Vec3, Vec3]): Float64Array {
  const flat = new Float64Array(vectors.length);
  for (const [c, [ax, ay, az]] of axes.entries()) {
    for (let i = 0; i < vectors.length; i += 3) {
      flat[i + c] = vectors[i]! * ax + vectors[i + 1]! * ay + vectors[i + 2]! * az;
    }
  }
  return flat;
}
