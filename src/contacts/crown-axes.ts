import { EigenvalueDecomposition, Matrix } from 'ml-matrix';
import type { Vec3 } from '../geometry/types.ts';
import { add, cross, dot, normalize, perpendicularTo, scale } from '../geometry/vec3.ts';
import { digitOf } from '../teeth/notation.ts';
import type { ToothNumber } from '../teeth/types.ts';

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
/** A crown's own direction is looked for within this angle of the arch's. */
const MOST_TURN_RAD = (12 * Math.PI) / 180;
const TURN_STEP_RAD = (0.5 * Math.PI) / 180;
/** First molar and behind: as wide as long, four walls. */
export const FIRST_MOLAR = 6;

/**
 * Finds how a crown stands, from the directions of its side walls. A turned or tilted tooth has its width along its
 * own axis, not along the arch. Long axis: the direction that the side walls run along, i.e. the smallest eigenvector
 * of the sum of n n' over their normals n; walls that taper alike on both sides do not tilt it. Low, wide molars do
 * not show it and take the occlusal axis. Mesiodistal axis: in front, where the two proximal walls and the two others
 * differ, the larger axis of the same sum across the long axis; for molars the turn that brings the most normals into
 * line with a box, sum of (n.m)^4 + (n.b)^4.
 *
 * @param normals - unit normals of the crown's visible walls, away from gum and webs
 * @param tangent - arch direction at the tooth
 * @param up - occlusal axis
 */
export function crownAxes(tooth: ToothNumber, normals: readonly Vec3[], tangent: Vec3, up: Vec3): CrownAxes {
  const walls = normals.filter((n) => Math.abs(dot(n, up)) <= SIDE_COSINE);
  const molar = digitOf(tooth) >= FIRST_MOLAR;
  const enough = walls.length >= LEAST_NORMALS;
  const o = !molar && enough ? longAxis(walls, up) : up;
  const along = normalize(perpendicularTo(tangent, o));
  const across = cross(o, along);
  if (!enough) return { m: along, b: across, o };
  const turn = molar ? boxTurn(normals, along, across, o) : wallTurn(normals, along, across);
  const m = add(scale(along, Math.cos(turn)), scale(across, Math.sin(turn)));
  return { m, b: cross(o, m), o };
}

function longAxis(walls: readonly Vec3[], up: Vec3): Vec3 {
  const sum = Matrix.zeros(3, 3);
  for (const n of walls) {
    for (let i = 0; i < 3; i += 1) {
      for (let j = 0; j < 3; j += 1) sum.set(i, j, sum.get(i, j) + n[i]! * n[j]!);
    }
  }
  const eigen = new EigenvalueDecomposition(sum, { assumeSymmetric: true });
  const least = [0, 1, 2].sort((a, b) => eigen.realEigenvalues[a]! - eigen.realEigenvalues[b]!)[0]!;
  const [x, y, z] = [0, 1, 2].map((k) => eigen.eigenvectorMatrix.get(k, least));
  const axis = normalize([x!, y!, z!]);
  return dot(axis, up) < 0 ? scale(axis, -1) : axis;
}

/** Angle of the principal axis nearest to `along`, rad. */
function wallTurn(normals: readonly Vec3[], along: Vec3, across: Vec3): number {
  let mm = 0;
  let mb = 0;
  let bb = 0;
  for (const n of normals) {
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

function boxTurn(normals: readonly Vec3[], along: Vec3, across: Vec3, o: Vec3): number {
  const flat = normals
    .filter((n) => Math.abs(dot(n, o)) <= SIDE_COSINE)
    .map((n) => [dot(n, along), dot(n, across)] as const);
  let best = 0;
  let most = Number.NEGATIVE_INFINITY;
  const steps = Math.round(MOST_TURN_RAD / TURN_STEP_RAD);
  for (let k = -steps; k <= steps; k += 1) {
    const turn = k * TURN_STEP_RAD;
    const c = Math.cos(turn);
    const s = Math.sin(turn);
    let sum = 0;
    for (const [u, v] of flat) sum += (u * c + v * s) ** 4 + (v * c - u * s) ** 4;
    if (sum > most) {
      most = sum;
      best = turn;
    }
  }
  return best;
}
