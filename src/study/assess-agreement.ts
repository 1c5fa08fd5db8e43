import { type Icc, intraclassCorrelations } from './intraclass-correlation.ts';
import { type Agreement, limitsOfAgreement } from './limits-of-agreement.ts';
import { type MeasurementError, measurementError } from './measurement-error.ts';
import type { RepeatedMeasurements, RepeatedTarget } from './repeated-measurements.ts';
import { type ScansShared, scansShared } from './shared-scans.ts';
import { type CompleteTable, type TwoWayAnova, twoWayAnova } from './two-way-anova.ts';

/** Fewer targets than this say nothing of agreement. */
const LEAST_TARGETS = 3;

/** Two occasions against each other. */
export interface PairAgreement extends Agreement {
  /** Indices among the occasions of the analysis. */
  readonly first: number;
  readonly second: number;
}

/** What is worked out from the targets that have a number on every occasion of the analysis. */
export interface AgreementFigures {
  readonly anova: TwoWayAnova;
  /** Null where all targets measured alike. */
  readonly icc: readonly Icc[] | null;
  readonly error: MeasurementError;
  readonly pairs: readonly PairAgreement[];
}

/** One comparison: all occasions, or the levels of one factor with the others held. */
export interface AgreementAnalysis {
  /** `all`, or such as `operator, session 1`. */
  readonly name: string;
  /** The factor that is compared; null: all occasions, whatever tells them apart. */
  readonly factor: string | null;
  /** Labels of the occasions, in order. */
  readonly occasions: readonly string[];
  /** Targets with a number on every occasion: labels, and (n x k) numbers. */
  readonly targets: readonly string[];
  readonly values: CompleteTable;
  /** Targets left out, and how often a number lacked for which reason. */
  readonly leftOut: number;
  readonly reasons: Readonly<Record<string, number>>;
  /** Targets that have a number on some of the occasions but not on all. */
  readonly numberOnSome: number;
  /** Whether the targets were measured on one scan each time; null where that cannot be told. */
  readonly scansShared: ScansShared | null;
  /** Null with `refusal`: why there are no figures. */
  readonly figures: AgreementFigures | null;
  readonly refusal: string | null;
}

/**
 * All comparisons of repeated measurements: first all occasions together; where more than one column tells them
 * apart, also every column by itself, separately for all levels of the others (operators within session 1, ...).
 */
export function assessAgreement(data: RepeatedMeasurements): readonly AgreementAnalysis[] {
  const { occasions, occasionColumns } = data;
  const all = analyse(
    data,
    'all',
    null,
    occasions.map((_, k) => k),
  );
  const factors = occasionColumns.filter((_, c) => new Set(occasions.map((levels) => levels[c])).size > 1);
  if (factors.length < 2) return [all];
  const single = factors.flatMap((factor) => {
    const c = occasionColumns.indexOf(factor);
    const groups = new Map<string, number[]>();
    for (const [k, levels] of occasions.entries()) {
      const rest = levels
        .map((level, other) => `${occasionColumns[other]} ${level}`)
        .filter((_, other) => other !== c && factors.includes(occasionColumns[other]!));
      groups.set(rest.join(', '), [...(groups.get(rest.join(', ')) ?? []), k]);
    }
    return [...groups]
      .filter(([, members]) => members.length > 1)
      .map(([rest, members]) => analyse(data, `${factor}, ${rest}`, factor, members));
  });
  return [all, ...single];
}

function analyse(
  data: RepeatedMeasurements,
  name: string,
  factor: string | null,
  members: readonly number[],
): AgreementAnalysis {
  const { targets, occasions, occasionColumns } = data;
  const column = factor === null ? -1 : occasionColumns.indexOf(factor);
  const labels = members.map((k) => (column < 0 ? occasions[k]!.join(' ') : occasions[k]![column]!));
  const has = (target: RepeatedTarget, k: number) => target.values[k] !== null;
  const complete = targets.filter((target) => members.every((k) => has(target, k)));
  const others = targets.filter((target) => !complete.includes(target));
  const reasons: Record<string, number> = {};
  for (const target of others) {
    for (const k of members) {
      const reason = target.reasons[k]!;
      if (reason !== '') reasons[reason] = (reasons[reason] ?? 0) + 1;
    }
  }
  const values = complete.map((target) => members.map((k) => target.values[k]!));
  const enough = complete.length >= LEAST_TARGETS;
  return {
    name,
    factor,
    occasions: labels,
    targets: complete.map(({ label }) => label),
    values,
    leftOut: others.length,
    reasons,
    numberOnSome: others.filter((target) => members.some((k) => has(target, k))).length,
    scansShared: scansShared(data, members),
    figures: enough ? figuresOf(values) : null,
    refusal: enough
      ? null
      : `Only ${complete.length} of ${targets.length} targets have a number on every occasion; expected at least ${LEAST_TARGETS}.`,
  };
}

function figuresOf(values: CompleteTable): AgreementFigures {
  const anova = twoWayAnova(values);
  const pairs: PairAgreement[] = [];
  for (let first = 0; first < anova.occasions; first += 1) {
    for (let second = first + 1; second < anova.occasions; second += 1) {
      const both = values.map((row) => [row[first]!, row[second]!] as const);
      pairs.push({ first, second, ...limitsOfAgreement(both) });
    }
  }
  return { anova, icc: intraclassCorrelations(anova), error: measurementError(anova), pairs };
}
