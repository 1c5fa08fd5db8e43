/*
 * Statistics of the evaluation. All take any numbers and leave them as they are; of no numbers there is no
 * statistic: null.
 */

/** Quantile by linear interpolation between order statistics (Hyndman and Fan 1996, type 7). */
export function quantile(values: Iterable<number>, share: number): number | null {
  const sorted = Float64Array.from(values).sort();
  if (sorted.length === 0) return null;
  const at = share * (sorted.length - 1);
  const low = Math.floor(at);
  const high = Math.min(low + 1, sorted.length - 1);
  return sorted[low]! + (at - low) * (sorted[high]! - sorted[low]!);
}

export function mean(values: Iterable<number>): number | null {
  let sum = 0;
  let count = 0;
  for (const value of values) {
    sum += value;
    count += 1;
  }
  return count === 0 ? null : sum / count;
}

export function rootMeanSquare(values: readonly number[]): number | null {
  const square = mean(values.map((value) => value * value));
  return square === null ? null : Math.sqrt(square);
}

/** The value farthest from zero, with its sign. */
export function worst(values: readonly number[]): number | null {
  return values.length === 0 ? null : values.reduce((a, b) => (Math.abs(b) > Math.abs(a) ? b : a));
}

/** Share of the values for which the test holds. */
export function shareOf<T>(values: readonly T[], holds: (value: T) => boolean): number | null {
  return values.length === 0 ? null : values.filter(holds).length / values.length;
}
