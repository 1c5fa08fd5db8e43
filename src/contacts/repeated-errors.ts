/** Errors of the known spaces of a block, of which every scan of it measures each once more. */
export interface RepeatedErrors {
  /** How many different spaces. */
  readonly spaces: number;
  /** Mean error: of the mean errors of the spaces, each counting once. */
  readonly mean: number;
  /** Standard deviation of that mean. */
  readonly meanStandard: number;
  /** Variance of one error, what differs from space to space and what differs from scan to scan of one space together. */
  readonly variance: number;
  /** Its degrees of freedom, which need not be whole; those of {@link meanStandard} are one less than the spaces. */
  readonly varianceDegrees: number;
}

/**
 * Mean and variance of errors of which some belong to one and the same space. Those share what the block's own
 * uncertainty and the place do to them, so a space that was scanned ten times is no ten spaces: the mean has the
 * scatter of the spaces' means (JCGM 100:2008, H.5, for observations in groups), and the variance of one error is that
 * between spaces and within them, by mean squares for groups of unequal size (one-way random model, ISO 5725-2), with
 * Satterthwaite's degrees of freedom (Biometrics Bull 1946;2:110-114). Where every space was measured once, both are
 * the plain mean and variance.
 *
 * @param groups - errors by space; at least two groups, none of them empty
 */
export function repeatedErrors(groups: readonly (readonly number[])[]): RepeatedErrors {
  const spaces = groups.length;
  const count = groups.reduce((sum, { length }) => sum + length, 0);
  const means = groups.map(mean);
  const ofMeans = mean(means);
  const meanVariance = squares(means, ofMeans) / (spaces - 1) / spaces;
  const ofAll = mean(groups.flat());
  const between =
    groups.reduce((sum, { length }, k) => sum + length * (means[k]! - ofAll) ** 2, 0) / (spaces - 1);
  const repeats = count - spaces;
  const within = repeats === 0 ? 0 : groups.reduce((sum, of, k) => sum + squares(of, means[k]!), 0) / repeats;
  // How often a space was measured, for groups of unequal size.
  const often = (count - groups.reduce((sum, { length }) => sum + length ** 2, 0) / count) / (spaces - 1);
  const variance = (between + (often - 1) * within) / often;
  const spread = between ** 2 / (spaces - 1) + (repeats === 0 ? 0 : ((often - 1) * within) ** 2 / repeats);
  return {
    spaces,
    mean: ofMeans,
    meanStandard: Math.sqrt(meanVariance),
    variance,
    varianceDegrees: spread > 0 ? (often * variance) ** 2 / spread : spaces - 1,
  };
}

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}

function squares(values: readonly number[], centre: number): number {
  return values.reduce((sum, value) => sum + (value - centre) ** 2, 0);
}
