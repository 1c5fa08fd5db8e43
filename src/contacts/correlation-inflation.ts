import { EXACT_MM } from './tolerances.ts';

/** A solved weighted fit, as far as the correlation of its residuals is concerned. */
export interface FittedPoints {
  /** (n x 3) u, v, height, mm. */
  readonly uvz: Float64Array;
  /** (n x p) basis at the points. */
  readonly X: Float64Array;
  readonly weights: Float64Array;
  readonly residuals: Float64Array;
  /** (X'WX)^-1, and the covariance of the coefficients for errors of variance 1; p x p. */
  readonly inverse: Float64Array;
  readonly sandwich: Float64Array;
  /** Of one point, mm^2. */
  readonly variance: number;
  readonly p: number;
  /** Width of a distance class, mm. */
  readonly edgeMm: number;
}

/** Distance classes looked at, each one edge wide. */
const MOST_CLASSES = 6;
/** A class counts when its correlation exceeds this many standard errors. */
const CLASS_SIGMAS = 2;
/** More points than this are thinned for the pair sums: a quarter of a million pairs tell enough. */
const MOST_CORRELATED_POINTS = 700;

/**
 * How much the variance of a local mean grows because neighbouring residuals go together: 1 + sum over distance
 * classes of (points in the class) x (correlation there). Residuals of a fit are correlated even when the errors are
 * not, (I - H)(I - H)'; that part is taken off first. Classes count from the nearest on until the first whose
 * correlation is within two standard errors of nothing.
 */
export function correlationInflation(fit: FittedPoints): number {
  const { X, weights, residuals, inverse, sandwich, variance, p, edgeMm } = fit;
  if (!(variance > EXACT_MM * EXACT_MM)) return 1;
  const used: number[] = [];
  for (let i = 0; i < weights.length; i += 1) if (weights[i]! > 0) used.push(i);
  const step = Math.max(1, Math.ceil(used.length / MOST_CORRELATED_POINTS));
  const some = used.filter((_, k) => k % step === 0);
  const n = some.length;
  const gx = rowsTimes(X, some, inverse, p);
  const sx = rowsTimes(X, some, sandwich, p);
  const excess = new Float64Array(MOST_CLASSES);
  const pairs = new Float64Array(MOST_CLASSES);
  for (let a = 0; a < n; a += 1) {
    const i = some[a]!;
    for (let b = 0; b < a; b += 1) {
      const j = some[b]!;
      const du = fit.uvz[3 * i]! - fit.uvz[3 * j]!;
      const dv = fit.uvz[3 * i + 1]! - fit.uvz[3 * j + 1]!;
      const bin = Math.floor(Math.sqrt(du * du + dv * dv) / edgeMm - 0.5);
      const k = Math.max(0, bin);
      if (k >= MOST_CLASSES) continue;
      let hij = 0;
      let hh = 0;
      for (let c = 0; c < p; c += 1) {
        hij += gx[a * p + c]! * X[j * p + c]!;
        hh += sx[a * p + c]! * X[j * p + c]!;
      }
      const white = hh - hij * (weights[i]! + weights[j]!);
      excess[k]! += (residuals[i]! * residuals[j]!) / variance - white;
      pairs[k]! += 1;
    }
  }
  let f = 1;
  for (let k = 0; k < MOST_CLASSES; k += 1) {
    const count = pairs[k]!;
    if (count === 0) break;
    const rho = excess[k]! / count;
    if (rho <= CLASS_SIGMAS / Math.sqrt(count)) break;
    f += ((2 * count * step) / n) * rho;
  }
  return f;
}

/** Rows of X (those in `some`) times a symmetric matrix. */
function rowsTimes(X: Float64Array, some: readonly number[], M: Float64Array, p: number): Float64Array {
  const out = new Float64Array(some.length * p);
  for (let a = 0; a < some.length; a += 1) {
    for (let k = 0; k < p; k += 1) {
      const x = X[some[a]! * p + k]!;
      for (let c = 0; c < p; c += 1) out[a * p + c]! += x * M[k * p + c]!;
    }
  }
  return out;
}
