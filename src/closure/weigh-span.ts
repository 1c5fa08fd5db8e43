import { type ArchContact, type ArchModel, isOpenAfter } from './arch-model.ts';
import type { CandidateSpan } from './candidate-spans.ts';
import { type SpanSolution, solveSpan } from './solve-span.ts';
import { countStages, type StageCount } from './stages.ts';
import { NUMERIC_ZERO_MM } from './tolerances.ts';
import type { ClosureSettings, SpanVerdict } from './types.ts';

/** A span judged by all contacts of the arch, in numbers only. */
export interface WeighedSpan {
  readonly span: CandidateSpan;
  readonly solution: SpanSolution;
  /** Null when no motion closes the span. */
  readonly stages: StageCount | null;
  /** Space per contact of the model after the stages ordered, or after the most allowed, mm. */
  readonly afterMm: readonly number[];
  /** Space per contact after the whole motion, mm. */
  readonly wholeMm: readonly number[];
  readonly verdict: SpanVerdict;
  /** Largest motion of a tooth over the stages shown, mm. */
  readonly largestMotionMm: number;
}

/** Solves one span and weighs what remains and what it opens. */
export function weighSpan(model: ArchModel, span: CandidateSpan, settings: ClosureSettings): WeighedSpan {
  return weighSolution(model, span, settings, solveSpan(model, span, settings));
}

/** Weighs motions that are already known. */
export function weighSolution(
  model: ArchModel,
  span: CandidateSpan,
  settings: ClosureSettings,
  solution: SpanSolution,
): WeighedSpan {
  const counted = model.contacts.map((contact) => contact.countedMm);
  if (solution.kind === 'contradiction' || solution.kind === 'absurd') {
    return {
      span,
      solution,
      stages: null,
      afterMm: counted,
      wholeMm: counted,
      verdict: 'infeasible',
      largestMotionMm: 0,
    };
  }
  const count = countStages(solution.motions, settings);
  const afterMm = counted.map((space, k) => settle(space + solution.changes[k]! * count.share));
  const stages = enoughStages(model, afterMm, settings, count);
  return {
    span,
    solution,
    stages,
    afterMm,
    wholeMm: counted.map((space, k) => settle(space + solution.changes[k]!)),
    verdict: verdictOf(model, afterMm, settings, solution.kind, stages),
    largestMotionMm:
      stages.share * solution.motions.reduce((most, m) => Math.max(most, Math.hypot(m.dx, m.dy)), 0),
  };
}

/**
 * Where the whole motion needs more stages than allowed but the most allowed already leave no contact open, those are
 * ordered: what remains is a space that the user calls closed, and no reason for a new plan.
 */
function enoughStages(
  model: ArchModel,
  afterMm: readonly number[],
  settings: ClosureSettings,
  count: StageCount,
): StageCount {
  if (count.ordered !== null) return count;
  const open = model.contacts.some((contact, k) => isOpenAfter(contact, afterMm[k]!, settings.limitMm));
  return open ? count : { ...count, ordered: settings.maxStages };
}

/** Whether a contact counts as open before anything moves. */
export function isOpenBefore(contact: ArchContact, settings: ClosureSettings): boolean {
  return isOpenAfter(contact, contact.countedMm, settings.limitMm);
}

/** A space that differs from zero only by rounding is zero. */
function settle(spaceMm: number): number {
  return Math.abs(spaceMm) < NUMERIC_ZERO_MM ? 0 : spaceMm;
}

function verdictOf(
  model: ArchModel,
  afterMm: readonly number[],
  settings: ClosureSettings,
  kind: SpanSolution['kind'],
  stages: StageCount,
): SpanVerdict {
  if (kind === 'nothing-to-close') return 'nothing-to-close';
  if (stages.ordered === null) return 'too-many-stages';
  let verdict: SpanVerdict = 'closes-all';
  model.contacts.forEach((contact, k) => {
    if (!isOpenAfter(contact, afterMm[k]!, settings.limitMm)) return;
    if (isOpenBefore(contact, settings)) verdict = 'leaves-open';
    else if (verdict === 'closes-all') verdict = 'opens-others';
  });
  return verdict;
}
