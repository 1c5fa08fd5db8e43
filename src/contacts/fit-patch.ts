import { choleskyFactor, choleskyInverse, choleskySolve } from '../geometry/cholesky.ts';
import { median } from '../geometry/median.ts';
import { MAD_TO_SIGMA, TUKEY_CUT } from '../geometry/robust-scale.ts';
import { correlationInflation } from './correlation-inflation.ts';
import {
  basisAt,
  basisSize,
  basisSlopesAt,
  type PatchDegree,
  type PatchValue,
  polynomialAt,
} from './patch-basis.ts';
import { EXACT_MM, TUKEY_COVARIANCE_FACTOR, TUKEY_VARIANCE_SHARE, WALL_CHANGE } from './tolerances.ts';

/** Points of one wall in the frame of the window. */
export interface WindowPoints {
  /** (n x 3) u, v, height, mm. */
  readonly uvz: Float64Array;
  readonly count: number;
}

/** A wall as a polynomial z(u, v) over a round window. */
export interface WallPatch {
  readonly degree: PatchDegree;
  readonly radiusMm: number;
  /** Of the monomials in u/R, v/R, mm. */
  readonly coefficients: Float64Array;
  readonly points: number;
}

/** How well a patch is known. */
export interface PatchError {
  /** (p x p) covariance of the coefficients, mm^2, inflated for residuals that are not independent. */
  readonly covariance: Float64Array;
  /** Standard deviation of one point about the patch, mm. */
  readonly residualMm: number;
  /** The inflation of the covariance, >= 1. */
  readonly inflation: number;
}

/** A patch with what its error is computed from. */
export interface FittedPatch {
  readonly patch: WallPatch;
  /** Computed when asked for: the fits on the way to the last one need no errors. Null when it has none. */
  readonly error: () => PatchError | null;
}

const REWEIGHTINGS = 3;

/** Weighted normal equations of one step: the factor of X'WX + diag(ridge) and the coefficients. */
function solveWeighted(
  X: Float64Array,
  z: Float64Array,
  weights: Float64Array,
  ridge: Float64Array,
): { factor: Float64Array; coefficients: Float64Array } | null {
  const p = ridge.length;
  const G = new Float64Array(p * p);
  const coefficients = new Float64Array(p);
  for (let i = 0; i < weights.length; i += 1) {
    const w = weights[i]!;
    if (w === 0) continue;
    for (let r = 0; r < p; r += 1) {
      const x = w * X[i * p + r]!;
      coefficients[r]! += x * z[i]!;
      for (let c = 0; c <= r; c += 1) G[r * p + c]! += x * X[i * p + c]!;
    }
  }
  for (let r = 0; r < p; r += 1) G[r * p + r]! += ridge[r]!;
  if (!choleskyFactor(G, p)) return null;
  choleskySolve(G, p, coefficients);
  return { factor: G, coefficients };
}

/** Robust standard deviation of the residuals about zero. */
function robustSigma(residuals: Float64Array): number {
  return MAD_TO_SIGMA * median(residuals.map(Math.abs));
}

/**
 * What is known of walls before any is measured: inverse variances of the coefficients, 1/mm^2. Heights, slopes and
 * curvatures are left free; how fast a curvature changes along the wall is not.
 */
function priorPrecision(degree: PatchDegree, radiusMm: number): Float64Array {
  const precision = new Float64Array(basisSize(degree));
  for (let total = 3, k = 6; total <= degree; total += 1) {
    const spread = WALL_CHANGE[total - 3]! * radiusMm ** total;
    for (let j = 0; j <= total; j += 1, k += 1) precision[k] = 1 / (spread * spread);
  }
  return precision;
}

/**
 * Fits a polynomial wall: weights fall to zero at the edge of the window (1 - r^2/R^2), then three re-weightings by
 * Tukey's biweight. The covariance is that of a weighted least-squares estimate with independent errors,
 * s^2 G^-1 X'W^2X G^-1 with G = X'WX, times the inflation for neighbouring residuals that go together.
 *
 * @param edgeMm - typical distance of neighbouring points: width of the distance classes for the inflation
 * @param points - at least four more than the polynomial has terms
 * @returns null when there are too few points or they do not determine the polynomial
 */
export function fitPatch(
  points: WindowPoints,
  degree: PatchDegree,
  radiusMm: number,
  edgeMm: number,
): FittedPatch | null {
  const n = points.count;
  const p = basisSize(degree);
  if (n < p + 4) return null;
  const X = new Float64Array(n * p);
  const z = new Float64Array(n);
  const base = new Float64Array(n);
  for (let i = 0; i < n; i += 1) {
    const u = points.uvz[3 * i]! / radiusMm;
    const v = points.uvz[3 * i + 1]! / radiusMm;
    basisAt(degree, u, v, X, i * p);
    z[i] = points.uvz[3 * i + 2]!;
    base[i] = Math.max(0, 1 - u * u - v * v);
  }
  const weights = Float64Array.from(base);
  const residuals = new Float64Array(n);
  const prior = priorPrecision(degree, radiusMm);
  let ridge = new Float64Array(p);
  let solved = solveWeighted(X, z, weights, ridge);
  for (let round = 0; solved !== null && round < REWEIGHTINGS; round += 1) {
    fillResiduals(X, z, solved.coefficients, residuals);
    const sigma = robustSigma(residuals);
    const cut = TUKEY_CUT * sigma;
    if (cut < EXACT_MM) break;
    ridge = new Float64Array(p);
    for (let k = 0; k < p; k += 1) ridge[k] = prior[k]! * sigma * sigma;
    for (let i = 0; i < n; i += 1) {
      const q = 1 - (residuals[i]! / cut) ** 2;
      weights[i] = q > 0 ? base[i]! * q * q : 0;
    }
    solved = solveWeighted(X, z, weights, ridge);
  }
  if (solved === null) return null;
  fillResiduals(X, z, solved.coefficients, residuals);
  const { factor, coefficients } = solved;
  return {
    patch: { degree, radiusMm, coefficients, points: n },
    error: () => patchError({ points, X, weights, residuals, factor, ridge, p, edgeMm }),
  };
}

interface Solved {
  readonly points: WindowPoints;
  readonly X: Float64Array;
  readonly weights: Float64Array;
  readonly residuals: Float64Array;
  /** Cholesky factor of X'WX + diag(ridge), and what was added, in units of the residuals' variance. */
  readonly factor: Float64Array;
  readonly ridge: Float64Array;
  readonly p: number;
  readonly edgeMm: number;
}

/** Residual variance with n_eff = (sum w)^2 / sum w^2 observations, and the covariance from it. */
function patchError(solved: Solved): PatchError | null {
  const { X, weights, residuals, ridge, p } = solved;
  let sum = 0;
  let sum2 = 0;
  let square = 0;
  for (let i = 0; i < weights.length; i += 1) {
    const w = weights[i]!;
    sum += w;
    sum2 += w * w;
    square += w * residuals[i]! ** 2;
  }
  const effective = (sum * sum) / sum2;
  if (!(effective > p + 1)) return null;
  const inverse = choleskyInverse(solved.factor, p);
  // Coefficients that the prior holds take no freedom from the residuals: trace of (X'WX + ridge)^-1 X'WX.
  const free = ridge.reduce((left, r, k) => left - r * inverse[k * p + k]!, p);
  const variance = ((square / sum) * effective) / (effective - free) / TUKEY_VARIANCE_SHARE;
  const sandwich = sandwichOf(X, weights, inverse, p);
  const inflation = correlationInflation({ ...solved, uvz: solved.points.uvz, inverse, sandwich, variance });
  // What the prior holds back of a wall that is as curved as walls are: inverse ridge inverse, times the variance.
  const weighed = new Float64Array(p * p);
  for (let i = 0; i < weighed.length; i += 1) weighed[i] = inverse[i]! * ridge[i % p]!;
  const held = multiply(weighed, inverse, p);
  const covariance = new Float64Array(p * p);
  for (let i = 0; i < covariance.length; i += 1) {
    covariance[i] = variance * (sandwich[i]! * inflation * TUKEY_COVARIANCE_FACTOR + held[i]!);
  }
  return {
    covariance,
    residualMm: Math.sqrt(variance),
    inflation,
  };
}

function fillResiduals(
  X: Float64Array,
  z: Float64Array,
  coefficients: Float64Array,
  out: Float64Array,
): void {
  const p = coefficients.length;
  for (let i = 0; i < z.length; i += 1) {
    let fit = 0;
    for (let k = 0; k < p; k += 1) fit += X[i * p + k]! * coefficients[k]!;
    out[i] = z[i]! - fit;
  }
}

/** G^-1 X'W^2X G^-1. */
function sandwichOf(X: Float64Array, weights: Float64Array, inverse: Float64Array, p: number): Float64Array {
  const B = new Float64Array(p * p);
  for (let i = 0; i < weights.length; i += 1) {
    const w2 = weights[i]! ** 2;
    if (w2 === 0) continue;
    for (let r = 0; r < p; r += 1) {
      const x = w2 * X[i * p + r]!;
      for (let c = 0; c < p; c += 1) B[r * p + c]! += x * X[i * p + c]!;
    }
  }
  return multiply(multiply(inverse, B, p), inverse, p);
}

/** a' M b of a square matrix. */
function bilinearForm(a: Float64Array, M: Float64Array, b: Float64Array): number {
  const p = a.length;
  let sum = 0;
  for (let i = 0; i < p; i += 1) {
    for (let j = 0; j < p; j += 1) sum += a[i]! * M[i * p + j]! * b[j]!;
  }
  return sum;
}

function multiply(a: Float64Array, b: Float64Array, p: number): Float64Array {
  const out = new Float64Array(p * p);
  for (let i = 0; i < p; i += 1) {
    for (let k = 0; k < p; k += 1) {
      const x = a[i * p + k]!;
      for (let j = 0; j < p; j += 1) out[i * p + j]! += x * b[k * p + j]!;
    }
  }
  return out;
}

/** Height of the patch with its derivatives at (u, v), mm and 1/mm. */
export function patchAt(patch: WallPatch, u: number, v: number): PatchValue {
  const r = patch.radiusMm;
  const q = polynomialAt(patch.degree, patch.coefficients, u / r, v / r);
  return {
    z: q.z,
    zu: q.zu / r,
    zv: q.zv / r,
    zuu: q.zuu / (r * r),
    zuv: q.zuv / (r * r),
    zvv: q.zvv / (r * r),
  };
}

/** Variances at (u, v): of the height (mm^2) and of the two slopes (2 x 2: uu, uv, vv; dimensionless). */
export function patchVariances(
  patch: WallPatch,
  error: PatchError,
  u: number,
  v: number,
): { height: number; slopes: readonly [number, number, number] } {
  const p = basisSize(patch.degree);
  const r = patch.radiusMm;
  const phi = new Float64Array(p);
  const byU = new Float64Array(p);
  const byV = new Float64Array(p);
  basisAt(patch.degree, u / r, v / r, phi);
  basisSlopesAt(patch.degree, u / r, v / r, byU, byV);
  const form = (a: Float64Array, b: Float64Array) => bilinearForm(a, error.covariance, b);
  return {
    height: form(phi, phi),
    slopes: [form(byU, byU) / (r * r), form(byU, byV) / (r * r), form(byV, byV) / (r * r)],
  };
}
