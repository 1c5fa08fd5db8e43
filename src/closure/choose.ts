import { type ArchModel, isAsked, isOpenAfter } from './arch-model.ts';
import { CONTACT_TOLERANCE_MM, NUMERIC_ZERO_MM } from './tolerances.ts';
import type { ClosureSettings, PlanAnswer } from './types.ts';
import { opensUnseen, remainsAfterMost, type WeighedSpan } from './weigh-span.ts';

export interface Choice {
  readonly answer: PlanAnswer;
  /**
   * `tighten`, `not-enough`: the span that is proposed; `new-plan`: the span that would do with more stages, or
   * comes nearest; else null.
   */
  readonly chosen: WeighedSpan | null;
  /** Stages to order over `chosen`; null when none are proposed. */
  readonly stages: number | null;
  /**
   * Why a span that would close everything is not proposed as one that does: `stages`: it needs more than the most
   * allowed; `unseen-end`: it may open a contact behind the end of what was scanned. Null otherwise.
   */
  readonly but: 'stages' | 'unseen-end' | null;
}

/**
 * The rule of the proposal, in numbers only: the shortest span, then the fewest stages, after which no contact of the
 * arch is open against the limit, behind the ends of what was scanned neither. If such spans may only open one there:
 * the shortest of them, as not enough for certain. If a span would do but needs too many stages: where the most stages
 * leave it at the limit - nothing above it with its uncertainty - those stages, as not enough for certain; else a new
 * plan. If none would do: the span that leaves the smallest worst space, as not enough, as long as it improves on doing
 * nothing. If no contact is open: floss first where contacts are unsettled, else none needed.
 */
export function choose(model: ArchModel, weighed: readonly WeighedSpan[], settings: ClosureSettings): Choice {
  const plain = (answer: PlanAnswer): Choice => ({
    answer,
    chosen: null,
    stages: null,
    but: null,
  });
  if (!model.contacts.some(isAsked)) {
    return plain(model.contacts.some((contact) => contact.unsettled) ? 'floss-first' : 'none-needed');
  }
  const inOrder = weighed.filter((w) => reachesAsRuled(model, w, settings)).sort(byLengthThenStages);
  const closers = inOrder.filter((w) => w.verdict === 'closes-all' && followsSpanRule(model, w, settings));
  const closer = closers.find((w) => !opensUnseen(w, settings)) ?? closers[0];
  if (closer) {
    const stages = closer.stages?.ordered ?? 0;
    return opensUnseen(closer, settings)
      ? { answer: 'not-enough', chosen: closer, stages, but: 'unseen-end' }
      : { answer: 'tighten', chosen: closer, stages, but: null };
  }

  const tooLong = inOrder.filter((w) => w.verdict === 'too-many-stages');
  const whole = tooLong.filter(
    (w) => !anyOpen(model, w.wholeMm, settings) && followsSpanRule(model, w, settings),
  );
  const atLimit = whole.find(
    (w) => w.afterMostMm !== null && remainsAfterMost(model, w.afterMostMm, settings) === 'at-limit',
  );
  if (atLimit) {
    return { answer: 'not-enough', chosen: atLimit, stages: settings.maxStages, but: 'stages' };
  }
  const shortest = whole[0];
  if (shortest) return { answer: 'new-plan', chosen: shortest, stages: null, but: 'stages' };

  const before = scoreOf(
    model,
    model.contacts.map((contact) => contact.countedMm),
    settings,
  );
  const ranked = inOrder
    .filter((w) => (w.stages?.ordered ?? 0) > 0)
    .map((w) => ({ w, score: scoreOf(model, w.afterMm, settings) }))
    .sort((p, q) => compareScores(p.score, q.score));
  const best = ranked[0];
  if (best && improvesOn(best.score, before)) {
    const stages = best.w.stages?.ordered ?? 0;
    return { answer: 'not-enough', chosen: best.w, stages, but: null };
  }
  const longest = tooLong[tooLong.length - 1];
  if (longest) return { answer: 'new-plan', chosen: longest, stages: null, but: null };
  return plain('not-by-tightening');
}

/** Whether the span rule lets a span be proposed as one that closes everything. */
export function followsSpanRule(model: ArchModel, w: WeighedSpan, settings: ClosureSettings): boolean {
  if (!reachesAsRuled(model, w, settings)) return false;
  return settings.spanRule !== 'widens-nothing' || !widensAny(model, w);
}

function reachesAsRuled(model: ArchModel, { span }: WeighedSpan, settings: ClosureSettings): boolean {
  return (
    settings.spanRule !== 'terminal-molars' || (span.first === 0 && span.last === model.teeth.length - 1)
  );
}

function widensAny(model: ArchModel, w: WeighedSpan): boolean {
  return model.contacts.some(
    (contact, k) => contact.kind === 'contact' && w.afterMm[k]! - contact.countedMm > CONTACT_TOLERANCE_MM,
  );
}

/** Shorter spans first, then fewer stages, then less motion. */
export function byLengthThenStages(p: WeighedSpan, q: WeighedSpan): number {
  return (
    lengthOf(p) - lengthOf(q) ||
    (p.stages?.needed ?? 0) - (q.stages?.needed ?? 0) ||
    p.largestMotionMm - q.largestMotionMm
  );
}

/** Teeth in the span. */
export function lengthOf(weighed: WeighedSpan): number {
  return weighed.span.last - weighed.span.first + 1;
}

function anyOpen(model: ArchModel, spacesMm: readonly number[], settings: ClosureSettings): boolean {
  return model.contacts.some((contact, k) => isOpenAfter(contact, spacesMm[k]!, settings.limitMm));
}

/** The largest open space, then all open spaces together, mm. */
type Score = readonly [number, number];

function scoreOf(model: ArchModel, spacesMm: readonly number[], settings: ClosureSettings): Score {
  const open = spacesMm.filter((space, k) => isOpenAfter(model.contacts[k]!, space, settings.limitMm));
  return [Math.max(0, ...open), open.reduce((sum, space) => sum + space, 0)];
}

/** Better by more than measuring again would tell apart. */
function improvesOn(p: Score, q: Score): boolean {
  if (Math.abs(p[0] - q[0]) > CONTACT_TOLERANCE_MM) return p[0] < q[0];
  return p[1] < q[1] - CONTACT_TOLERANCE_MM;
}

function compareScores(p: Score, q: Score): number {
  if (Math.abs(p[0] - q[0]) > NUMERIC_ZERO_MM) return p[0] - q[0];
  return Math.abs(p[1] - q[1]) > NUMERIC_ZERO_MM ? p[1] - q[1] : 0;
}
