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
 * Holds the end of a run against the level after its first tenth (round 20 of 200, scan 50 of 500), each by the median
 * of a few looks; before, most of the code is compiled and pools fill up.
 *
 * @returns whether it grew by no more than 10 %
 */
export function checkGrowth(name: string, samples: readonly Sample[], count: number): boolean {
  const within = (from: number, to: number) =>
    samples.filter(({ done }) => done > from * count && done <= to * count).map(({ megabytes }) => megabytes);
  const [early, late] = [median(within(0.09, 0.15)), median(within(0.94, 1))];
  const growth = late / early - 1;
  console.log(
    `${name}: ${early.toFixed(1)} MB after the first tenth, ${late.toFixed(1)} MB at the end (${(100 * growth).toFixed(1)} %)`,
  );
  return growth <= MOST_GROWTH;
}
