/**
 * Quantiles of Student's t and of chi-square, for estimates from few measurements. Distribution functions by the
 * continued fraction of the incomplete beta function and by the series and continued fraction of the incomplete gamma
 * function (M. Abramowitz, I. Stegun, Handbook of Mathematical Functions, 26.5.8, 6.5.29, 6.5.31), inverted by
 * bisection.
 */

const MOST_TERMS = 500;
const ENOUGH = 1e-14;
/** Stands for zero in Lentz's evaluation of a continued fraction. */
const TINY = 1e-300;
const BISECTIONS = 200;

/** ln Gamma(x), x > 0: Lanczos' approximation with g = 7, nine coefficients; about 1e-14. */
function logGamma(x: number): number {
  const c = [
    0.99999999999980993, 676.5203681218851, -1259.1392167224028, 771.32342877765313, -176.61502916214059,
    12.507343278686905, -0.13857109526572012, 9.9843695780195716e-6, 1.5056327351493116e-7,
  ];
  const y = x - 1;
  let sum = c[0]!;
  for (let k = 1; k < c.length; k += 1) sum += c[k]! / (y + k);
  const t = y + 7.5;
  return 0.5 * Math.log(2 * Math.PI) + (y + 0.5) * Math.log(t) - t + Math.log(sum);
}

/** Regularised incomplete beta function I_x(a, b). */
function incompleteBeta(x: number, a: number, b: number): number {
  if (x <= 0) return 0;
  if (x >= 1) return 1;
  if (x > (a + 1) / (a + b + 2)) return 1 - incompleteBeta(1 - x, b, a);
  const front = Math.exp(logGamma(a + b) - logGamma(a) - logGamma(b) + a * Math.log(x) + b * Math.log1p(-x));
  let c = 1;
  let d = 1 / nonZero(1 - ((a + b) * x) / (a + 1));
  let h = d;
  for (let m = 1; m < MOST_TERMS; m += 1) {
    const even = (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m));
    d = 1 / nonZero(1 + even * d);
    c = nonZero(1 + even / c);
    h *= d * c;
    const odd = (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1));
    d = 1 / nonZero(1 + odd * d);
    c = nonZero(1 + odd / c);
    h *= d * c;
    if (Math.abs(d * c - 1) < ENOUGH) break;
  }
  return (front * h) / a;
}

/** Regularised lower incomplete gamma function P(a, x). */
function incompleteGamma(a: number, x: number): number {
  if (x <= 0) return 0;
  const front = Math.exp(a * Math.log(x) - x - logGamma(a));
  if (x < a + 1) {
    let term = 1 / a;
    let sum = term;
    for (let k = 1; k < MOST_TERMS && term > ENOUGH * sum; k += 1) {
      term *= x / (a + k);
      sum += term;
    }
    return front * sum;
  }
  let b = x + 1 - a;
  let c = 1 / TINY;
  let d = 1 / b;
  let h = d;
  for (let k = 1; k < MOST_TERMS; k += 1) {
    const an = -k * (k - a);
    b += 2;
    d = 1 / nonZero(an * d + b);
    c = nonZero(b + an / c);
    h *= d * c;
    if (Math.abs(d * c - 1) < ENOUGH) break;
  }
  return 1 - front * h;
}

function nonZero(value: number): number {
  return Math.abs(value) < TINY ? TINY : value;
}

/** Where a growing distribution function reaches p. */
function invert(p: number, high: number, distribution: (x: number) => number): number {
  let low = 0;
  let top = high;
  while (distribution(top) < p) top *= 2;
  for (let k = 0; k < BISECTIONS; k += 1) {
    const middle = (low + top) / 2;
    if (distribution(middle) < p) low = middle;
    else top = middle;
  }
  return (low + top) / 2;
}

/**
 * Factor t for a two-sided interval: P(-t < T < t) = `level` with `degrees` degrees of freedom.
 * @param level - 0 to 1, such as 0.95
 */
export function studentFactor(level: number, degrees: number): number {
  const within = (t: number) => 1 - incompleteBeta(degrees / (degrees + t * t), degrees / 2, 0.5);
  return invert(level, 10, within);
}

/** Value that chi-square with `degrees` degrees of freedom stays below with probability p. */
export function chiSquareQuantile(p: number, degrees: number): number {
  return invert(p, degrees + 10, (x) => incompleteGamma(degrees / 2, x / 2));
}

/** P(F > f) of the F distribution with `d1` and `d2` degrees of freedom, which need not be whole (26.6.2). */
export function fisherTail(f: number, d1: number, d2: number): number {
  if (!(f > 0)) return 1;
  return incompleteBeta(d2 / (d2 + d1 * f), d2 / 2, d1 / 2);
}

/** Value that F with `d1` and `d2` degrees of freedom stays below with probability p. */
export function fisherQuantile(p: number, d1: number, d2: number): number {
  return invert(p, 10, (f) => 1 - fisherTail(f, d1, d2));
}
