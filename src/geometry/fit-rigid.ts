import { EigenvalueDecomposition, Matrix } from 'ml-matrix';
import { choleskyFactor, choleskySolve } from './cholesky.ts';
import { composeMotions, IDENTITY_MOTION, type RigidMotion, rotationAbout } from './rigid.ts';
import type { Vec3 } from './types.ts';
import { length } from './vec3.ts';

/**
 * The rigid motion that takes points nearest to their partners in the least-squares sense (B. K. P. Horn, Closed-form
 * solution of absolute orientation using unit quaternions, J. Opt. Soc. Am. A 4 (1987) 629).
 *
 * @param from - (n x 3) mm, at least three points that do not lie in a line
 * @param to - (n x 3) mm, partner of each
 * @returns null where the points do not settle a rotation
 */
export function fitRigid(from: ArrayLike<number>, to: ArrayLike<number>): RigidMotion | null {
  const n = from.length / 3;
  if (n < 3) return null;
  const cf: [number, number, number] = [0, 0, 0];
  const ct: [number, number, number] = [0, 0, 0];
  for (let i = 0; i < from.length; i += 1) {
    cf[i % 3]! += from[i]! / n;
    ct[i % 3]! += to[i]! / n;
  }
  const s = new Float64Array(9);
  for (let i = 0; i < n; i += 1) {
    for (let j = 0; j < 3; j += 1) {
      for (let k = 0; k < 3; k += 1) {
        s[3 * j + k]! += (from[3 * i + j]! - cf[j]!) * (to[3 * i + k]! - ct[k]!);
      }
    }
  }
  const [xx, xy, xz, yx, yy, yz, zx, zy, zz] = s as unknown as readonly number[] & { length: 9 };
  const quartic = new Matrix([
    [xx! + yy! + zz!, yz! - zy!, zx! - xz!, xy! - yx!],
    [yz! - zy!, xx! - yy! - zz!, xy! + yx!, zx! + xz!],
    [zx! - xz!, xy! + yx!, -xx! + yy! - zz!, yz! + zy!],
    [xy! - yx!, zx! + xz!, yz! + zy!, -xx! - yy! + zz!],
  ]);
  const eigen = new EigenvalueDecomposition(quartic, { assumeSymmetric: true });
  const order = [0, 1, 2, 3].sort((a, b) => eigen.realEigenvalues[b]! - eigen.realEigenvalues[a]!);
  const [first, second] = [eigen.realEigenvalues[order[0]!]!, eigen.realEigenvalues[order[1]!]!];
  // A double largest eigenvalue: every turn about some axis fits as well.
  if (!(first - second > 1e-9 * Math.abs(first))) return null;
  const column = eigen.eigenvectorMatrix.getColumn(order[0]!);
  const [w, x, y, z] = column as [number, number, number, number];
  const rotation = [
    w * w + x * x - y * y - z * z,
    2 * (x * y - w * z),
    2 * (x * z + w * y),
    2 * (x * y + w * z),
    w * w - x * x + y * y - z * z,
    2 * (y * z - w * x),
    2 * (x * z - w * y),
    2 * (y * z + w * x),
    w * w - x * x - y * y + z * z,
  ];
  const turned = (k: number) =>
    rotation[3 * k]! * cf[0] + rotation[3 * k + 1]! * cf[1] + rotation[3 * k + 2]! * cf[2];
  return { rotation, translation: [ct[0] - turned(0), ct[1] - turned(1), ct[2] - turned(2)] };
}

/**
 * One step of point-to-plane registration: the small motion of the points that brings them nearest to the planes
 * through their partners (Y. Chen, G. Medioni, Image Vision Comput. 10 (1992) 145), linearised about the points' centre.
 *
 * @param points - (n x 3) mm
 * @param partners - (n x 3) mm
 * @param normals - (n x 3) unit normals at the partners
 * @param weights - one per point, not negative
 * @returns null where the planes leave a motion free
 */
export function pointToPlaneStep(
  points: Float64Array,
  partners: Float64Array,
  normals: Float64Array,
  weights: Float64Array,
): RigidMotion | null {
  const n = weights.length;
  const centre: [number, number, number] = [0, 0, 0];
  let total = 0;
  for (let i = 0; i < n; i += 1) {
    total += weights[i]!;
    for (let k = 0; k < 3; k += 1) centre[k]! += weights[i]! * points[3 * i + k]!;
  }
  if (!(total > 0)) return null;
  for (let k = 0; k < 3; k += 1) centre[k]! /= total;
  const a = new Float64Array(36);
  const b = new Float64Array(6);
  const row = new Float64Array(6);
  for (let i = 0; i < n; i += 1) {
    const w = weights[i]!;
    if (w === 0) continue;
    const x = points[3 * i]! - centre[0];
    const y = points[3 * i + 1]! - centre[1];
    const z = points[3 * i + 2]! - centre[2];
    const nx = normals[3 * i]!;
    const ny = normals[3 * i + 1]!;
    const nz = normals[3 * i + 2]!;
    row[0] = y * nz - z * ny;
    row[1] = z * nx - x * nz;
    row[2] = x * ny - y * nx;
    row[3] = nx;
    row[4] = ny;
    row[5] = nz;
    const miss =
      (partners[3 * i]! - points[3 * i]!) * nx +
      (partners[3 * i + 1]! - points[3 * i + 1]!) * ny +
      (partners[3 * i + 2]! - points[3 * i + 2]!) * nz;
    for (let j = 0; j < 6; j += 1) {
      b[j]! += w * row[j]! * miss;
      for (let k = 0; k < 6; k += 1) a[6 * j + k]! += w * row[j]! * row[k]!;
    }
  }
  if (!choleskyFactor(a, 6)) return null;
  choleskySolve(a, 6, b);
  const turn: Vec3 = [b[0]!, b[1]!, b[2]!];
  const angle = length(turn);
  const shift: Vec3 = [b[3]!, b[4]!, b[5]!];
  if (angle === 0) return composeMotions({ ...IDENTITY_MOTION, translation: shift }, IDENTITY_MOTION);
  return rotationAbout(centre, turn, angle, shift);
}
