import { fisherQuantile, fisherTail } from '../contacts/distributions.ts';
import type { TwoWayAnova } from './two-way-anova.ts';

/** Single measurement (1) or mean of all k occasions (k); one-way (1), two-way random (2), two-way mixed (3). */
type IccForm = '1,1' | '2,1' | '3,1' | '1,k' | '2,k' | '3,k';

/**
 * Why a number is missing: `no-scatter`: equal repetitions, nothing to reckon an interval from; `out-of-range`: the
 * approximation gives limits that no correlation can have or that are not in order; `step-up`: the mean of k occasions
 * has no correlation, because 1 + (k - 1) rho is not positive.
 */
type IccLack = 'no-scatter' | 'out-of-range' | 'step-up';

export interface Icc {
  readonly form: IccForm;
  /** Null where it is not defined (`step-up`). */
  readonly value: number | null;
  /** 95 % confidence interval; null with a reason in {@link lack}. */
  readonly interval: readonly [low: number, high: number] | null;
  /** Why value or interval are missing; null where both are there. */
  readonly lack: IccLack | null;
  /** Test of "no correlation": F, its degrees of freedom, P(F or more); null without scatter. */
  readonly test: {
    readonly f: number;
    readonly df1: number;
    readonly df2: number;
    readonly p: number;
  } | null;
}

/** Upper probability of a two-sided 95 % interval. */
const UPPER = 0.975;

/**
 * Intraclass correlations in six forms with 95 % confidence intervals: P. Shrout, J. Fleiss, Psychol Bull
 * 1979;86:420-428 (values); K. McGraw, S. Wong, Psychol Methods 1996;1:30-46 (intervals: table 7; of ICC(2,1) with
 * Satterthwaite's degrees of freedom; of the k forms by Spearman and Brown).
 *
 * @returns null where the targets do not differ at all and no correlation is defined
 */
export function intraclassCorrelations(anova: TwoWayAnova): readonly Icc[] | null {
  const { targets: n, occasions: k, between, within, occasion, residual } = anova;
  if (!(between > 0)) return null;
  const one = (between - within) / (between + (k - 1) * within);
  const two = (between - residual) / (between + (k - 1) * residual + (k * (occasion - residual)) / n);
  const three = (between - residual) / (between + (k - 1) * residual);
  const oneWay = simpleInterval(between, within, n - 1, n * (k - 1), k);
  const mixed = simpleInterval(between, residual, n - 1, (n - 1) * (k - 1), k);
  const random = randomInterval(anova, two);
  const both = (single: IccForm, several: IccForm, value: number, found: Interval): Icc[] => [
    { form: single, value, ...found },
    { form: several, ...steppedUp(value, found, k), test: found.test },
  ];
  const forms = [
    ...both('1,1', '1,k', one, oneWay),
    ...both('2,1', '2,k', two, { ...random, test: mixed.test }),
    ...both('3,1', '3,k', three, mixed),
  ];
  return [
    ...forms.filter(({ form }) => form.endsWith('1')),
    ...forms.filter(({ form }) => form.endsWith('k')),
  ];
}

type Interval = Pick<Icc, 'interval' | 'lack' | 'test'>;

/** Spearman and Brown: from one measurement to the mean of k; increasing while 1 + (k - 1) rho > 0. */
function steppedUp(
  value: number,
  { interval, lack }: Interval,
  k: number,
): Pick<Icc, 'value' | 'interval' | 'lack'> {
  const isDefined = (rho: number) => 1 + (k - 1) * rho > 0;
  const stepUp = (rho: number) => (k * rho) / (1 + (k - 1) * rho);
  if (!isDefined(value)) return { value: null, interval: null, lack: 'step-up' };
  if (interval === null) return { value: stepUp(value), interval, lack };
  if (!isDefined(interval[0])) return { value: stepUp(value), interval: null, lack: 'step-up' };
  return { value: stepUp(value), interval: [stepUp(interval[0]), stepUp(interval[1])], lack: null };
}

/** Of ICC(1,1) and ICC(3,1): by the F ratio of two mean squares. */
function simpleInterval(between: number, error: number, df1: number, df2: number, k: number): Interval {
  if (!(error > 0)) return { interval: null, lack: 'no-scatter', test: null };
  const f = between / error;
  const low = f / fisherQuantile(UPPER, df1, df2);
  const high = f * fisherQuantile(UPPER, df2, df1);
  const correlation = (ratio: number) => (ratio - 1) / (ratio + k - 1);
  return {
    interval: [correlation(low), correlation(high)],
    lack: null,
    test: { f, df1, df2, p: fisherTail(f, df1, df2) },
  };
}

/** Of ICC(2,1), absolute agreement. */
function randomInterval(
  { targets: n, occasions: k, between, occasion, residual }: TwoWayAnova,
  value: number,
): Pick<Icc, 'interval' | 'lack'> {
  if (!(residual > 0)) return { interval: null, lack: 'no-scatter' };
  const a = (k * value) / (n * (1 - value));
  const b = 1 + (k * value * (n - 1)) / (n * (1 - value));
  const v =
    (a * occasion + b * residual) ** 2 /
    ((a * occasion) ** 2 / (k - 1) + (b * residual) ** 2 / ((n - 1) * (k - 1)));
  const rest = k * n - k - n;
  if (!(v > 0)) return { interval: null, lack: 'out-of-range' };
  const below = fisherQuantile(UPPER, n - 1, v);
  const above = fisherQuantile(UPPER, v, n - 1);
  const low = (n * (between - below * residual)) / (below * (k * occasion + rest * residual) + n * between);
  const high = (n * (above * between - residual)) / (k * occasion + rest * residual + n * above * between);
  // Satterthwaite's degrees of freedom hold for a sum of positive parts; with a negative correlation they can fail.
  const holds = low >= -1 / (k - 1) && low <= value && value <= high && high <= 1;
  return holds ? { interval: [low, high], lack: null } : { interval: null, lack: 'out-of-range' };
}
