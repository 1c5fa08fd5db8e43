import { studentFactor } from '../contacts/distributions.ts';
import { mean } from './two-way-anova.ts';

/** A figure with its 95 % confidence interval. */
export interface Estimate {
  readonly value: number;
  readonly low: number;
  readonly high: number;
}

/** How two occasions agree, target by target. Differences are first minus second. */
export interface Agreement {
  readonly n: number;
  readonly bias: Estimate;
  /** Standard deviation of the differences. */
  readonly sd: number;
  readonly lower: Estimate;
  readonly upper: Estimate;
  /** Change of the difference per unit of size; null where all targets are of one size. */
  readonly slope: Estimate | null;
}

/** As published: 1.96 standard deviations. */
const Z = 1.96;

/**
 * Limits of agreement with confidence intervals: J. Bland, D. Altman, Lancet 1986;1:307-310; standard error of a
 * limit from Stat Methods Med Res 1999;8:135-160. Slope of the differences on the means by least squares.
 *
 * @param pairs - at least 3
 */
export function limitsOfAgreement(pairs: readonly (readonly [first: number, second: number])[]): Agreement {
  const n = pairs.length;
  const differences = pairs.map(([a, b]) => a - b);
  const bias = mean(differences);
  const sd = Math.sqrt(differences.reduce((sum, d) => sum + (d - bias) ** 2, 0) / (n - 1));
  const t = studentFactor(0.95, n - 1);
  const around = (value: number, standardError: number): Estimate => ({
    value,
    low: value - t * standardError,
    high: value + t * standardError,
  });
  const limitError = sd * Math.sqrt(1 / n + Z ** 2 / (2 * (n - 1)));
  return {
    n,
    bias: around(bias, sd / Math.sqrt(n)),
    sd,
    lower: around(bias - Z * sd, limitError),
    upper: around(bias + Z * sd, limitError),
    slope: slopeOf(pairs, differences, bias),
  };
}

function slopeOf(
  pairs: readonly (readonly [number, number])[],
  differences: readonly number[],
  bias: number,
): Estimate | null {
  const n = pairs.length;
  const sizes = pairs.map(([a, b]) => (a + b) / 2);
  const centre = mean(sizes);
  const spread = sizes.reduce((sum, size) => sum + (size - centre) ** 2, 0);
  if (!(spread > 0)) return null;
  const value = sizes.reduce((sum, size, i) => sum + (size - centre) * (differences[i]! - bias), 0) / spread;
  const left = sizes.reduce(
    (sum, size, i) => sum + (differences[i]! - bias - value * (size - centre)) ** 2,
    0,
  );
  const error = studentFactor(0.95, n - 2) * Math.sqrt(left / (n - 2) / spread);
  return { value, low: value - error, high: value + error };
}
