import { EigenvalueDecomposition, Matrix } from 'ml-matrix';
import { type PatchError, patchAt, patchVariances, type WallPatch } from './fit-patch.ts';
import { LEAST_HESSIAN_PER_MM } from './tolerances.ts';

/** Closest points of two wall patches over one window; (u, v) on each, mm. */
export interface PatchDistance {
  /** Distance of the two points along the shortest line, negative when the patches have run through each other, mm. */
  readonly distanceMm: number;
  readonly uvA: readonly [number, number];
  readonly uvB: readonly [number, number];
  readonly zA: number;
  readonly zB: number;
}

const MOST_STEPS = 60;
/** Longest step of one Newton iteration, mm. */
const LONGEST_STEP_MM = 0.3;
/** Steps shorter than this end the search, mm. */
const SHORTEST_STEP_MM = 1e-7;
/** Least curvature of half the squared distance, so that a step is always downhill. */
const LEAST_CURVATURE = 1e-6;
/** Where the patches come nearer than this their separation along the window axis is taken instead, mm. */
const NEARLY_TOUCHING_MM = 0.02;

/** Half the squared distance with gradient (4) and Hessian (4 x 4) in (u1, v1, u2, v2). */
function objective(a: WallPatch, b: WallPatch, x: Float64Array) {
  const pa = patchAt(a, x[0]!, x[1]!);
  const pb = patchAt(b, x[2]!, x[3]!);
  const du = x[2]! - x[0]!;
  const dv = x[3]! - x[1]!;
  const dz = pb.z - pa.z;
  const gradient = Float64Array.from([-du - dz * pa.zu, -dv - dz * pa.zv, du + dz * pb.zu, dv + dz * pb.zv]);
  const hessian = [
    [1 + pa.zu ** 2 - dz * pa.zuu, pa.zu * pa.zv - dz * pa.zuv, -1 - pa.zu * pb.zu, -pa.zu * pb.zv],
    [pa.zu * pa.zv - dz * pa.zuv, 1 + pa.zv ** 2 - dz * pa.zvv, -pa.zv * pb.zu, -1 - pa.zv * pb.zv],
    [-1 - pa.zu * pb.zu, -pa.zv * pb.zu, 1 + pb.zu ** 2 + dz * pb.zuu, pb.zu * pb.zv + dz * pb.zuv],
    [-pa.zu * pb.zv, -1 - pa.zv * pb.zv, pb.zu * pb.zv + dz * pb.zuv, 1 + pb.zv ** 2 + dz * pb.zvv],
  ];
  return { value: (du * du + dv * dv + dz * dz) / 2, gradient, hessian, zA: pa.z, zB: pb.z };
}

/** Keeps (u, v) inside the window. */
function keepInside(x: Float64Array, at: number, radius: number): void {
  const r = Math.hypot(x[at]!, x[at + 1]!);
  if (r > radius) {
    x[at] = (x[at]! * radius) / r;
    x[at + 1] = (x[at + 1]! * radius) / r;
  }
}

/** Newton step from the symmetric Hessian with its eigenvalues floored, cut to the longest step. */
function newtonStep(hessian: number[][], gradient: Float64Array, floor: number): Float64Array {
  const eigen = new EigenvalueDecomposition(new Matrix(hessian), { assumeSymmetric: true });
  const V = eigen.eigenvectorMatrix;
  const step = new Float64Array(4);
  for (let k = 0; k < 4; k += 1) {
    let along = 0;
    for (let i = 0; i < 4; i += 1) along += V.get(i, k) * gradient[i]!;
    const curvature = Math.max(Math.abs(eigen.realEigenvalues[k]!), floor);
    for (let i = 0; i < 4; i += 1) step[i]! -= (along / curvature) * V.get(i, k);
  }
  const size = Math.hypot(...step);
  return size > LONGEST_STEP_MM ? step.map((s) => (s * LONGEST_STEP_MM) / size) : step;
}

/**
 * The smallest distance of two patches over the same window, from the middle of the window: damped Newton on half the
 * squared distance in the four parameters, both points kept inside the window. The squared distance stays smooth when
 * the patches come close; where they come nearer than 0.02 mm (or run through each other) the signed separation along
 * the window axis at the same (u, v) is minimised instead.
 */
export function patchDistance(a: WallPatch, b: WallPatch): PatchDistance {
  const x = new Float64Array(4);
  let at = objective(a, b, x);
  for (let round = 0; round < MOST_STEPS; round += 1) {
    const step = newtonStep(at.hessian, at.gradient, LEAST_CURVATURE);
    let share = 1;
    let moved = 0;
    for (let halving = 0; halving < 12; halving += 1) {
      const trial = x.map((value, i) => value + share * step[i]!);
      keepInside(trial, 0, a.radiusMm);
      keepInside(trial, 2, b.radiusMm);
      const next = objective(a, b, trial);
      if (next.value <= at.value) {
        moved = Math.hypot(...trial.map((value, i) => value - x[i]!));
        x.set(trial);
        at = next;
        break;
      }
      share /= 2;
    }
    if (moved < SHORTEST_STEP_MM) break;
  }
  const distance = Math.sqrt(2 * at.value);
  if (distance < NEARLY_TOUCHING_MM || at.zB < at.zA) return signedSeparation(a, b, x);
  return { distanceMm: distance, uvA: [x[0]!, x[1]!], uvB: [x[2]!, x[3]!], zA: at.zA, zB: at.zB };
}

/** Minimum over (u, v) of zB - zA, from the middle of the two points found so far; signed. */
function signedSeparation(a: WallPatch, b: WallPatch, start: Float64Array): PatchDistance {
  let u = (start[0]! + start[2]!) / 2;
  let v = (start[1]! + start[3]!) / 2;
  const radius = Math.min(a.radiusMm, b.radiusMm);
  for (let round = 0; round < MOST_STEPS; round += 1) {
    const pa = patchAt(a, u, v);
    const pb = patchAt(b, u, v);
    const gu = pb.zu - pa.zu;
    const gv = pb.zv - pa.zv;
    // Curvatures are floored in the plain sense of a damped diagonal: the walls are convex towards each other.
    let huu = pb.zuu - pa.zuu;
    const huv = pb.zuv - pa.zuv;
    let hvv = pb.zvv - pa.zvv;
    const low = (huu + hvv) / 2 - Math.hypot((huu - hvv) / 2, huv);
    const lift = Math.max(0, LEAST_HESSIAN_PER_MM - low);
    huu += lift;
    hvv += lift;
    const det = huu * hvv - huv * huv;
    let su = -(hvv * gu - huv * gv) / det;
    let sv = -(huu * gv - huv * gu) / det;
    const size = Math.hypot(su, sv);
    if (size > LONGEST_STEP_MM) {
      su *= LONGEST_STEP_MM / size;
      sv *= LONGEST_STEP_MM / size;
    }
    const next = Float64Array.from([u + su, v + sv]);
    keepInside(next, 0, radius);
    const moved = Math.hypot(next[0]! - u, next[1]! - v);
    u = next[0]!;
    v = next[1]!;
    if (moved < SHORTEST_STEP_MM) break;
  }
  const pa = patchAt(a, u, v);
  const pb = patchAt(b, u, v);
  return { distanceMm: pb.z - pa.z, uvA: [u, v], uvB: [u, v], zA: pa.z, zB: pb.z };
}

/** What the noise of the two fits does to their distance. */
export interface PatchDistanceError {
  /** Standard uncertainty of the distance from both fits, mm. */
  readonly fitMm: number;
  /** How much a minimum over noisy patches comes out too small, to be added, mm. */
  readonly biasMm: number;
}

/**
 * First-order uncertainty of the distance and its second-order bias: E[min] = min - 1/2 tr(H^-1 C), H the Hessian of
 * the distance in the four parameters (eigenvalues floored), C the covariance of the two patch slopes at the feet.
 * The correction is capped at the fit uncertainty.
 */
export function patchDistanceError(
  a: WallPatch,
  b: WallPatch,
  errorA: PatchError,
  errorB: PatchError,
  found: PatchDistance,
): PatchDistanceError {
  const g = Math.max(Math.abs(found.distanceMm), NEARLY_TOUCHING_MM);
  const dz = found.zB - found.zA;
  const nz = Math.abs(found.distanceMm) > NEARLY_TOUCHING_MM ? Math.abs(dz) / g : 1;
  const va = patchVariances(a, errorA, ...found.uvA);
  const vb = patchVariances(b, errorB, ...found.uvB);
  const fitMm = nz * Math.sqrt(va.height + vb.height);

  // Hessian of g from that of q = g^2/2: H_g = (H_q - grad g grad g') / g, and grad g = 0 inside the window.
  const x = Float64Array.from([...found.uvA, ...found.uvB]);
  const { hessian, gradient } = objective(a, b, x);
  const H = hessian.map((row, i) => row.map((h, j) => (h - (gradient[i]! * gradient[j]!) / (g * g)) / g));
  const eigen = new EigenvalueDecomposition(new Matrix(H), { assumeSymmetric: true });
  const C = [
    [va.slopes[0], va.slopes[1], 0, 0],
    [va.slopes[1], va.slopes[2], 0, 0],
    [0, 0, vb.slopes[0], vb.slopes[1]],
    [0, 0, vb.slopes[1], vb.slopes[2]],
  ];
  let trace = 0;
  for (let k = 0; k < 4; k += 1) {
    let form = 0;
    for (let i = 0; i < 4; i += 1) {
      for (let j = 0; j < 4; j += 1) {
        form += eigen.eigenvectorMatrix.get(i, k) * C[i]![j]! * eigen.eigenvectorMatrix.get(j, k);
      }
    }
    trace += form / Math.max(eigen.realEigenvalues[k]!, LEAST_HESSIAN_PER_MM);
  }
  return { fitMm, biasMm: Math.min((nz * nz * trace) / 2, fitMm) };
}
