import { type ArchContact, type ArchModel, isOpenAfter } from './arch-model.ts';
import type { CandidateSpan } from './candidate-spans.ts';
import type { BodyMotion } from './chain-model.ts';
import { dot2 } from './plane.ts';
import { type SpanSolution, solveSpan } from './solve-span.ts';
import { countStages, type StageCount } from './stages.ts';
import { CONTACT_TOLERANCE_MM, NUMERIC_ZERO_MM, STAGES_CLOSE_SHARE } from './tolerances.ts';
import type { ClosureSettings, SpanVerdict } from './types.ts';

/** A span judged by all contacts of the arch, in numbers only. */
export interface WeighedSpan {
  readonly span: CandidateSpan;
  readonly solution: SpanSolution;
  /** Null when no motion closes the span. */
  readonly stages: StageCount | null;
  /** Space per contact of the model after the stages ordered; after the whole motion where none are, mm. */
  readonly afterMm: readonly number[];
  /** Space per contact after the most stages allowed, mm; null where the whole motion needs no more than those. */
  readonly afterMostMm: readonly number[] | null;
  /** Space per contact after the whole motion, mm. */
  readonly wholeMm: readonly number[];
  readonly verdict: SpanVerdict;
  /** Share of the whole motion that `afterMm` shows. */
  readonly shownShare: number;
  /** Largest motion of a tooth over the stages shown, mm. */
  readonly largestMotionMm: number;
  /**
   * By how much the stages shown would widen the contacts behind ends of the row that were not seen, mm, if teeth stand
   * there; one per such end, in the model's order.
   */
  readonly unseenOpeningsMm: readonly number[];
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
      afterMostMm: null,
      wholeMm: counted,
      verdict: 'infeasible',
      shownShare: 1,
      largestMotionMm: 0,
      unseenOpeningsMm: model.unseenEnds.map(() => 0),
    };
  }
  const count = countStages(solution.motions, settings);
  const spacesAt = (share: number): number[] =>
    counted.map((space, k) => settle(space + solution.changes[k]! * share));
  const wholeMm = spacesAt(1);
  const afterMostMm = count.ordered === null ? spacesAt(count.share) : null;
  const stages =
    afterMostMm !== null && remainsAfterMost(model, afterMostMm, settings) === 'none-open'
      ? { ...count, ordered: settings.maxStages }
      : count;
  const afterMm = stages.ordered !== null && afterMostMm !== null ? afterMostMm : wholeMm;
  const shownShare = stages.ordered === null ? 1 : stages.share;
  return {
    span,
    solution,
    stages,
    afterMm,
    afterMostMm,
    wholeMm,
    verdict: verdictOf(model, afterMm, settings, solution.kind, stages),
    shownShare,
    largestMotionMm:
      shownShare * solution.motions.reduce((most, m) => Math.max(most, Math.hypot(m.dx, m.dy)), 0),
    unseenOpeningsMm: model.unseenEnds.map(({ index }) =>
      settle(Math.max(0, shownShare * awayFromEnd(model, index, solution.motions[index]!))),
    ),
  };
}

/**
 * How far the last tooth of a row goes into the row, mm: what opens behind it if a neighbour stands there and stays. The
 * turn of the tooth does not count: its outer wall lies on the line of the arch through its centre.
 */
function awayFromEnd(model: ArchModel, index: number, motion: BodyMotion): number {
  const { mesial, side } = model.teeth[index]!;
  const inwards = side === (index === 0 ? 'right' : 'left') ? 1 : -1;
  return inwards * dot2([motion.dx, motion.dy], mesial);
}

/** Whether a span may open a contact that was not seen beyond the limit. */
export function opensUnseen({ unseenOpeningsMm }: WeighedSpan, settings: ClosureSettings): boolean {
  return unseenOpeningsMm.some((opening) => opening > settings.limitMm);
}

/**
 * What the most stages allowed leave, where the whole motion needs more: guarded on both sides of the limit by the
 * uncertainty of the space that remains, as the decision about a measured space is (method, section 4).
 * - `none-open`: every space is below the limit with its uncertainty; more stages would change nothing that counts;
 * - `at-limit`: none is above the limit with its uncertainty, but at least one lies at it;
 * - `open`: a space stays open.
 */
export type RemainsAfterMost = 'none-open' | 'at-limit' | 'open';

export function remainsAfterMost(
  model: ArchModel,
  spacesMm: readonly number[],
  settings: ClosureSettings,
): RemainsAfterMost {
  if (!anyOpen(model, spacesMm, settings, 1)) return 'none-open';
  return anyOpen(model, spacesMm, settings, -1) ? 'open' : 'at-limit';
}

function anyOpen(
  { contacts }: ArchModel,
  spacesMm: readonly number[],
  settings: ClosureSettings,
  sign: 1 | -1,
): boolean {
  for (let k = 0; k < contacts.length; k += 1) {
    const contact = contacts[k]!;
    const space = spacesMm[k]!;
    if (isOpenAfter(contact, space + sign * guardMm(contact, space, settings), settings.limitMm)) return true;
  }
  return false;
}

/**
 * How far off the space that remains at a contact may be: by the uncertainty of the space that it is left of and by a
 * share of what the stages closed, both independent; by the tolerance of the model where the stages widened it. A
 * contact that they leave as it was is as it was decided.
 */
function guardMm(contact: ArchContact, spaceMm: number, settings: ClosureSettings): number {
  if (isOpenBefore(contact, settings)) {
    const closed = STAGES_CLOSE_SHARE * Math.max(0, contact.countedMm - spaceMm);
    return Math.max(Math.hypot(contact.u95Mm ?? 0, closed), CONTACT_TOLERANCE_MM);
  }
  return spaceMm > contact.countedMm + NUMERIC_ZERO_MM ? CONTACT_TOLERANCE_MM : 0;
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
