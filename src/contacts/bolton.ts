import { usageError } from '../geometry/archgap-error.ts';
import { archOrder, digitOf } from '../teeth/notation.ts';
import type { ToothNumber, ToothRecord } from '../teeth/types.ts';
import type { Analysis } from './types.ts';
import { COVERAGE_FACTOR, combineStandard } from './uncertainty.ts';

/**
 * Bolton's ratios: 100 times the sum of the lower mesiodistal widths by that of the upper ones, over the twelve teeth
 * from first molar to first molar and the six from canine to canine. Means and standard deviations of 55 excellent
 * occlusions: 91.3 +- 1.91 and 77.2 +- 1.65 % (Bolton 1958, Angle Orthod 28:113; 1962, Am J Orthod 48:504).
 */
export const BOLTON_MEANS = {
  overall: { percent: 91.3, sdPercent: 1.91, lastDigit: 6 },
  anterior: { percent: 77.2, sdPercent: 1.65, lastDigit: 3 },
} as const;

type BoltonKind = keyof typeof BOLTON_MEANS;

/** One ratio, or why there is none. */
export interface BoltonRatio {
  readonly kind: BoltonKind;
  readonly percent: number | null;
  /** Expanded uncertainty k = 2, percentage points; null also when a width carries no uncertainty. */
  readonly u95Percent: number | null;
  readonly upperSumMm: number | null;
  readonly lowerSumMm: number | null;
  /** Which jaw's teeth are too wide for the other's at the mean ratio, and by how much, mm. */
  readonly excess: {
    readonly jaw: 'upper' | 'lower';
    readonly mm: number;
    readonly u95Mm: number | null;
  } | null;
  /** Distance from the mean in its standard deviations; beyond 2 is called potentially significant (Freeman 1996). */
  readonly deviations: number | null;
  readonly reason: string | null;
}

/** The excess at the mean ratio (percent), from the two sums, mm: formulas of Bolton 1962. */
export function boltonExcess(
  upperSumMm: number,
  lowerSumMm: number,
  meanPercent: number,
): { jaw: 'upper' | 'lower'; mm: number } {
  return (100 * lowerSumMm) / upperSumMm > meanPercent
    ? { jaw: 'lower', mm: lowerSumMm - (upperSumMm * meanPercent) / 100 }
    : { jaw: 'upper', mm: upperSumMm - (lowerSumMm * 100) / meanPercent };
}

/**
 * Both ratios from two arches.
 * @throws ArchgapError `BOLTON_JAWS` when the two are not one upper and one lower arch
 */
export function boltonRatios(upper: Analysis, lower: Analysis): BoltonRatio[] {
  if (upper.jaw !== 'upper' || lower.jaw !== 'lower') {
    throw usageError(
      'BOLTON_JAWS',
      `Bolton’s ratios need an upper and a lower arch, in this order; these are ${upper.jaw} and ${lower.jaw}.`,
    );
  }
  return (['overall', 'anterior'] as const).map((kind) => ratio(kind, upper, lower));
}

function ratio(kind: BoltonKind, upper: Analysis, lower: Analysis): BoltonRatio {
  const { lastDigit, percent: mean, sdPercent } = BOLTON_MEANS[kind];
  const up = widths(upper, lastDigit);
  const low = widths(lower, lastDigit);
  const gone = [...up.gone, ...low.gone];
  if (gone.length > 0) {
    return {
      kind,
      percent: null,
      u95Percent: null,
      upperSumMm: up.gone.length > 0 ? null : up.sumMm,
      lowerSumMm: low.gone.length > 0 ? null : low.sumMm,
      excess: null,
      deviations: null,
      reason: `No width: ${gone.join(', ')}.`,
    };
  }
  const percent = (100 * low.sumMm) / up.sumMm;
  const excess = boltonExcess(up.sumMm, low.sumMm, mean);
  const known = up.standardMm !== null && low.standardMm !== null;
  const relative = known ? combineStandard([low.standardMm / low.sumMm, up.standardMm / up.sumMm]) : null;
  const factor = excess.jaw === 'lower' ? [1, mean / 100] : [100 / mean, 1];
  return {
    kind,
    percent,
    u95Percent: relative === null ? null : COVERAGE_FACTOR * percent * relative,
    upperSumMm: up.sumMm,
    lowerSumMm: low.sumMm,
    excess: {
      ...excess,
      u95Mm: known
        ? COVERAGE_FACTOR * combineStandard([factor[0]! * low.standardMm, factor[1]! * up.standardMm])
        : null,
    },
    deviations: (percent - mean) / sdPercent,
    reason: null,
  };
}

interface Widths {
  readonly sumMm: number;
  /** Standard uncertainty of the sum; null when a width carries none. */
  readonly standardMm: number | null;
  readonly gone: readonly ToothNumber[];
}

function widths(analysis: Analysis, lastDigit: number): Widths {
  const records = new Map<ToothNumber, ToothRecord>(analysis.teeth.map((record) => [record.tooth, record]));
  const teeth = archOrder(analysis.jaw).filter((tooth) => digitOf(tooth) <= lastDigit);
  const gone = teeth.filter((tooth) => (records.get(tooth)?.mesiodistalMm ?? null) === null);
  const present = teeth.flatMap((tooth) => records.get(tooth) ?? []);
  const u95 = present.map(({ sizesU95Mm }) => sizesU95Mm?.mesiodistal ?? null);
  return {
    sumMm: present.reduce((sum, { mesiodistalMm }) => sum + (mesiodistalMm ?? 0), 0),
    // Errors of neighbouring widths lean against each other where a web was parted; counting them as independent
    // leaves the sum's uncertainty a little too large.
    standardMm: u95.every((value): value is number => value !== null)
      ? combineStandard(u95.map((value) => value / COVERAGE_FACTOR))
      : null,
    gone,
  };
}
