import type { UncertaintyTerm } from './types.ts';

/** Coverage factor for about 95 % (JCGM 100:2008, 6.3.3, normal distribution). */
export const COVERAGE_FACTOR = 2;

/** Combined standard uncertainty of independent terms: root of the sum of squares (JCGM 100:2008, 5.1.2). */
export function combineStandard(standard: readonly number[]): number {
  return Math.sqrt(standard.reduce((sum, u) => sum + u * u, 0));
}

/** Expanded uncertainty k = 2 of a budget, mm. */
export function expandedMm(terms: readonly UncertaintyTerm[]): number {
  return COVERAGE_FACTOR * combineStandard(terms.map((term) => term.standardMm));
}

/** Standard uncertainty of a quantity known only to lie within +-halfWidth (JCGM 100:2008, 4.3.7). */
export function rectangularStandard(halfWidth: number): number {
  return halfWidth / Math.sqrt(3);
}

/**
 * Effective degrees of freedom after Welch and Satterthwaite (JCGM 100:2008, G.4.1, formula G.2b).
 * @param terms - contribution to the result and its degrees of freedom; infinite is allowed
 */
export function effectiveDegrees(
  terms: readonly { readonly standard: number; readonly degrees: number }[],
): number {
  const combined = combineStandard(terms.map((term) => term.standard));
  const sum = terms.reduce((total, term) => total + term.standard ** 4 / term.degrees, 0);
  return sum === 0 ? Number.POSITIVE_INFINITY : combined ** 4 / sum;
}

/**
 * Probability that the measured quantity lies below an upper limit, given estimate and standard uncertainty of a
 * normal distribution: p_c = Phi((T_U - y) / u) (JCGM 106:2012, 7.3 and 7.4). Above a lower limit it is 1 minus that.
 */
export function probabilityBelow(limit: number, estimate: number, standard: number): number {
  return normalDistribution((limit - estimate) / standard);
}

/**
 * Standard normal distribution function, by the series for small and the continued fraction for large arguments
 * (M. Abramowitz, I. Stegun, Handbook of Mathematical Functions, 26.2.11 and 26.2.14); about 1e-14.
 */
export function normalDistribution(x: number): number {
  const density = Math.exp((-x * x) / 2) / Math.sqrt(2 * Math.PI);
  const a = Math.abs(x);
  if (a < SERIES_END) {
    let term = a;
    let sum = a;
    for (let k = 3; k < 200 && Math.abs(term) > sum * Number.EPSILON; k += 2) {
      term *= (a * a) / k;
      sum += term;
    }
    return 0.5 + (x < 0 ? -1 : 1) * density * sum;
  }
  let fraction = a;
  for (let k = FRACTION_TERMS; k >= 1; k -= 1) fraction = a + k / fraction;
  const tail = density / fraction;
  return x < 0 ? tail : 1 - tail;
}

/** Where the continued fraction takes over, and how many of its terms are then enough. */
const SERIES_END = 4;
const FRACTION_TERMS = 60;
