/** Largest growth over the level at the start that still passes. */
const MOST_GROWTH = 0.1;

/** One measurement on the way. */
export interface Sample {
  /** How far: scans or rounds done. */
  readonly done: number;
  readonly megabytes: number;
}

const median = (values: readonly number[]): number =>
  values.toSorted((a, b) => a - b)[Math.floor(values.length / 2)] ?? Number.NaN;

/**
 * Holds the last fifth of a run against the second fifth: the first one is left out, in which code is compiled and
 * pools fill up.
 *
 * @returns whether it grew by no more than 10 %
 */
export function checkGrowth(name: string, samples: readonly Sample[], count: number): boolean {
  const within = (from: number, to: number) =>
    samples.filter(({ done }) => done > from * count && done <= to * count).map(({ megabytes }) => megabytes);
  const [early, late] = [median(within(0.2, 0.4)), median(within(0.8, 1))];
  const growth = late / early - 1;
  console.log(
    `${name}: median ${early.toFixed(1)} MB in the second fifth, ${late.toFixed(1)} MB in the last (${(100 * growth).toFixed(1)} %)`,
  );
  return growth <= MOST_GROWTH;
}
