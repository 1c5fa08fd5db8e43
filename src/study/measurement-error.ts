import { chiSquareQuantile, fisherTail } from '../contacts/distributions.ts';
import type { Estimate } from './limits-of-agreement.ts';
import type { TwoWayAnova } from './two-way-anova.ts';

/** How far repeated measurements of one target scatter, in the unit of the measurement. */
export interface MeasurementError {
  /**
   * Dahlberg's error, sqrt(sum d^2 / 2n) for pairs d: G. Dahlberg, 1940. For k occasions the root of the mean square
   * within targets, which is the same for k = 2. Systematic differences between occasions are part of it.
   */
  readonly dahlberg: Estimate;
  /** The same without systematic differences between occasions: root of the residual mean square. */
  readonly random: Estimate;
  /**
   * Repeatability coefficient 1.96 sqrt(2) s: two measurements of one target differ by less in 95 of 100 cases. J.
   * Bland, D. Altman, Stat Methods Med Res 1999;8:135-160; ISO 5725-6 (r = 2.77 s).
   */
  readonly repeatability: Estimate;
  /** Test of "no systematic difference between occasions"; null where nothing scatters. */
  readonly occasionTest: {
    readonly f: number;
    readonly df1: number;
    readonly df2: number;
    readonly p: number;
  } | null;
}

const PAIR_FACTOR = 1.96 * Math.SQRT2;

/** Intervals by chi-square, for scatter that is normal and alike for all targets. */
export function measurementError({
  targets: n,
  occasions: k,
  within,
  occasion,
  residual,
}: TwoWayAnova): MeasurementError {
  const dahlberg = rootEstimate(within, n * (k - 1));
  const [df1, df2] = [k - 1, (n - 1) * (k - 1)];
  const f = occasion / residual;
  return {
    dahlberg,
    random: rootEstimate(residual, df2),
    repeatability: {
      value: PAIR_FACTOR * dahlberg.value,
      low: PAIR_FACTOR * dahlberg.low,
      high: PAIR_FACTOR * dahlberg.high,
    },
    occasionTest: residual > 0 ? { f, df1, df2, p: fisherTail(f, df1, df2) } : null,
  };
}

function rootEstimate(meanSquare: number, degrees: number): Estimate {
  const limit = (p: number) => Math.sqrt((degrees * meanSquare) / chiSquareQuantile(p, degrees));
  return { value: Math.sqrt(meanSquare), low: limit(0.975), high: limit(0.025) };
}
