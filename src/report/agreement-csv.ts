import type { AgreementAnalysis } from '../study/assess-agreement.ts';
import type { Estimate } from '../study/limits-of-agreement.ts';
import type { RepeatedMeasurements } from '../study/repeated-measurements.ts';
import { type CsvCell, writeCsv } from './csv-text.ts';

/** The columns of `agreement.csv`, in order. */
export const AGREEMENT_COLUMNS = [
  'analysis',
  'targets',
  'occasions',
  'statistic',
  'first',
  'second',
  'value',
  'low95',
  'high95',
  'unit',
  'f',
  'df1',
  'df2',
  'p',
] as const;

type Tail = readonly [value: number | null, low: number | null, high: number | null, unit: string];

/** Every figure of a study as one row; analyses without figures have none. */
export function writeAgreementCsv(
  data: RepeatedMeasurements,
  analyses: readonly AgreementAnalysis[],
): string {
  return writeCsv(
    AGREEMENT_COLUMNS,
    analyses.flatMap((analysis) => rowsOf(analysis, data.unit)),
  );
}

function rowsOf({ name, targets, occasions, figures }: AgreementAnalysis, unit: string): CsvCell[][] {
  if (figures === null) return [];
  const { icc, error, pairs } = figures;
  const row = (
    statistic: string,
    tail: Tail,
    test: { f: number; df1: number; df2: number; p: number } | null = null,
    between: readonly [string, string] | null = null,
  ): CsvCell[] => [
    name,
    targets.length,
    occasions.length,
    statistic,
    between?.[0] ?? null,
    between?.[1] ?? null,
    ...tail,
    test?.f ?? null,
    test?.df1 ?? null,
    test?.df2 ?? null,
    // Numbers have four decimals here; a small P would come out as 0.
    test && String(Number(test.p.toPrecision(3))),
  ];
  const of = ({ value, low, high }: Estimate, inUnit = unit): Tail => [value, low, high, inUnit];
  return [
    ...(icc ?? []).map(({ form, value, interval, test }) =>
      row(`icc(${form})`, [value, interval?.[0] ?? null, interval?.[1] ?? null, ''], test),
    ),
    row('dahlberg', of(error.dahlberg), error.occasionTest),
    row('random_error', of(error.random)),
    row('repeatability_coefficient', of(error.repeatability)),
    ...pairs.flatMap(({ first, second, bias, lower, upper, sd, slope }) => {
      const between = [occasions[first]!, occasions[second]!] as const;
      return [
        row('bias', of(bias), null, between),
        row('difference_sd', [sd, null, null, unit], null, between),
        row('lower_limit', of(lower), null, between),
        row('upper_limit', of(upper), null, between),
        ...(slope ? [row('slope', of(slope, ''), null, between)] : []),
      ];
    }),
  ];
}
