import { withLimit } from '../contacts/decide.ts';
import type { Analysis } from '../contacts/types.ts';
import { type ArchModel, archModel, asksForClosing, isAsked } from './arch-model.ts';
import { assumptions } from './assumptions.ts';
import { candidateSpans } from './candidate-spans.ts';
import { commonPractice } from './common-practice.ts';
import { describeSpan } from './describe-span.ts';
import { propose } from './propose.ts';
import { checkClosureSettings } from './settings.ts';
import { sizeNotes } from './size-notes.ts';
import type { ClosurePlan, ClosureSettings, Reason, SpanOutcome } from './types.ts';
import { type WeighedSpan, weighSpan } from './weigh-span.ts';

/**
 * Answers which tightening stages, over which teeth, how many, or none: every candidate span is solved in the
 * occlusal plane, judged by all contacts of the arch, and the shortest that leaves none open is proposed.
 * Where the plan's limit is not the one the contacts were decided with, they are decided again (never measured again).
 *
 * Arithmetic on a simple mechanical model, not a prescription. Pure: nothing is modified, the same input gives the
 * same plan.
 *
 * @param opposingArch - the measured opposing arch, for the tooth widths; null when it is not at hand
 * @throws ArchgapError `PLAN_SETTING`, `PLAN_NOT_NUMBERS`, `BOLTON_JAWS`
 */
export function planClosure(
  analysis: Analysis,
  settings: ClosureSettings,
  opposingArch: Analysis | null = null,
): ClosurePlan {
  return assemblePlan(draftPlan(analysis, settings, opposingArch), settings);
}

/** Every candidate span, solved and judged, before a proposal is made. */
export interface PlanDraft {
  readonly model: ArchModel;
  readonly weighed: readonly WeighedSpan[];
  /** The same spans in the same order. */
  readonly spans: readonly SpanOutcome[];
  /** What the sizes and places of the teeth say about spaces that are to be closed. */
  readonly sizes: readonly Reason[];
}

/** Solves and judges every candidate span. */
export function draftPlan(
  analysis: Analysis,
  settings: ClosureSettings,
  opposingArch: Analysis | null = null,
): PlanDraft {
  const model = decidedModel(analysis, settings);
  const asking = model.contacts.flatMap((contact, k) =>
    asksForClosing(contact, settings.limitMm) ? [k] : [],
  );
  const weighed = candidateSpans(model, asking).map((span) => weighSpan(model, span, settings));
  return {
    model,
    weighed,
    sizes: sizeNotes(analysis, opposingArch),
    spans: weighed.map((span) => describeSpan(model, span, settings)),
  };
}

/** The plan that follows from the spans. */
export function assemblePlan(
  { model, weighed, spans, sizes }: PlanDraft,
  settings: ClosureSettings,
): ClosurePlan {
  const proposal = propose(model, weighed, spans, settings);
  return {
    settings,
    spans,
    ...proposal,
    // Sizes explain why spaces stay; where nothing is to be closed there is nothing to explain.
    reasons: [...proposal.reasons, ...(model.contacts.some(isAsked) ? sizes : [])],
    commonPractice: commonPractice(model, settings, proposal, spans),
    assumptions: assumptions(settings),
    toCheck: model.contacts
      .filter((contact) => contact.unsettled)
      .map(({ toothA, toothB }) => ({ toothA, toothB })),
  };
}

/**
 * The arch of a plan: settings checked, contacts decided for the plan's limit, all laid into the occlusal plane.
 *
 * @throws ArchgapError `PLAN_SETTING`, `PLAN_NOT_NUMBERS`
 */
export function decidedModel(analysis: Analysis, settings: ClosureSettings): ArchModel {
  checkClosureSettings(settings);
  const decided =
    analysis.settings.limitMm === settings.limitMm ? analysis : withLimit(analysis, settings.limitMm);
  return archModel(decided, settings);
}
