import { fisherQuantile, fisherTail } from '../contacts/distributions.ts';
import type { TwoWayAnova } from './two-way-anova.ts';

/** Single measurement (1) or mean of all k occasions (k); one-way (1), two-way random (2), two-way mixed (3). */
type IccForm = '1,1' | '2,1' | '3,1' | '1,k' | '2,k' | '3,k';

export interface Icc {
  readonly form: IccForm;
  readonly value: number;
  /** 95 % confidence interval; null where there is no scatter to reckon it from. */
  readonly interval: readonly [low: number, high: number] | null;
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
  const stepUp = (value: number) => (k * value) / (1 + (k - 1) * value);
  const both = (single: IccForm, several: IccForm, value: number, found: Interval): Icc[] => [
    { form: single, value, ...found },
    {
      form: several,
      value: stepUp(value),
      interval: found.interval && [stepUp(found.interval[0]), stepUp(found.interval[1])],
      test: found.test,
    },
  ];
  const forms = [
    ...both('1,1', '1,k', one, oneWay),
    ...both('2,1', '2,k', two, { interval: random, test: mixed.test }),
    ...both('3,1', '3,k', three, mixed),
  ];
  return [
    ...forms.filter(({ form }) => form.endsWith('1')),
    ...forms.filter(({ form }) => form.endsWith('k')),
  ];
}

type Interval = Pick<Icc, 'interval' | 'test'>;

/** Of ICC(1,1) and ICC(3,1): by the F ratio of two mean squares. */
function simpleInterval(between: number, error: number, df1: number, df2: number, k: number): Interval {
  if (!(error > 0)) return { interval: null, test: null };
  const f = between / error;
  const low = f / fisherQuantile(UPPER, df1, df2);
  const high = f * fisherQuantile(UPPER, df2, df1);
  const correlation = (ratio: number) => (ratio - 1) / (ratio + k - 1);
  return {
    interval: [correlation(low), correlation(high)],
    test: { f, df1, df2, p: fisherTail(f, df1, df2) },
  };
}

/** Of ICC(2,1), absolute agreement. */
function randomInterval(
  { targets: n, occasions: k, between, occasion, residual }: TwoWayAnova,
  value: number,
): readonly [number, number] | null {
  if (!(residual > 0)) return null;
  const a = (k * value) / (n * (1 - value));
  const b = 1 + (k * value * (n - 1)) / (n * (1 - value));
  const v =
    (a * occasion + b * residual) ** 2 /
    ((a * occasion) ** 2 / (k - 1) + (b * residual) ** 2 / ((n - 1) * (k - 1)));
  const rest = k * n - k - n;
  const low = fisherQuantile(UPPER, n - 1, v);
  const high = fisherQuantile(UPPER, v, n - 1);
  return [
    (n * (between - low * residual)) / (low * (k * occasion + rest * residual) + n * between),
    (n * (high * between - residual)) / (k * occasion + rest * residual + n * high * between),
  ];
}
