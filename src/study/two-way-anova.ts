/** One number per target (row) and occasion (column); every cell is filled. */
export type CompleteTable = readonly (readonly number[])[];

/** Mean squares of a table of n targets and k occasions, with their degrees of freedom. */
export interface TwoWayAnova {
  readonly targets: number;
  readonly occasions: number;
  /** Between targets (BMS), n - 1. */
  readonly between: number;
  /** Within targets (WMS), n (k - 1). */
  readonly within: number;
  /** Between occasions (JMS), k - 1. */
  readonly occasion: number;
  /** Residual (EMS), (n - 1)(k - 1). */
  readonly residual: number;
}

/**
 * Analysis of variance of repeated measurements without replication: notation of P. Shrout, J. Fleiss, Intraclass
 * correlations, Psychol Bull 1979;86:420-428.
 *
 * Mean squares of rounding alone are 0: equal repetitions in binary fractions would else look like a scatter.
 *
 * @param table - (n x k), n and k at least 2
 */
export function twoWayAnova(table: CompleteTable): TwoWayAnova {
  const n = table.length;
  const k = table[0]?.length ?? 0;
  const rowMeans = table.map(mean);
  const columnMeans = Array.from({ length: k }, (_, j) => mean(table.map((row) => row[j]!)));
  const grand = mean(rowMeans);
  const squares = (values: readonly number[], centre: number) =>
    values.reduce((sum, value) => sum + (value - centre) ** 2, 0);
  // Sums of deviations, not differences of sums: spaces differ by micrometres.
  const within = table.reduce((sum, row, i) => sum + squares(row, rowMeans[i]!), 0);
  const residual = table.reduce(
    (sum, row, i) =>
      sum + row.reduce((part, x, j) => part + (x - rowMeans[i]! - columnMeans[j]! + grand) ** 2, 0),
    0,
  );
  const largest = table.reduce((most, row) => Math.max(most, ...row.map(Math.abs)), 0);
  const settled = (meanSquare: number) => (meanSquare < (ROUNDING_SHARE * largest) ** 2 ? 0 : meanSquare);
  return {
    targets: n,
    occasions: k,
    between: settled((k * squares(rowMeans, grand)) / (n - 1)),
    within: settled(within / (n * (k - 1))),
    occasion: settled((n * squares(columnMeans, grand)) / (k - 1)),
    residual: settled(residual / ((n - 1) * (k - 1))),
  };
}

/** Scatter below this share of the largest value is rounding (doubles carry 2e-16), not measurement. */
const ROUNDING_SHARE = 1e-12;

export function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}
