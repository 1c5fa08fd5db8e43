import { asOrdered, proposedSpan } from '../closure/ordered-outcome.ts';
import type { ClosurePlan } from '../closure/types.ts';
import type { Analysis } from '../contacts/types.ts';
import { countedFrom } from './plan-csv.ts';
import type { PlannedOutcome } from './read-plan-json.ts';

/**
 * What a plan lets a later scan expect: every contact as the stages to order leave it. The same as is read from the
 * `plan.json` of that plan.
 *
 * @param analysis - what the plan was made for
 * @returns null where the plan proposes no stages
 */
export function plannedOutcome(plan: ClosurePlan, analysis: Analysis): PlannedOutcome | null {
  const span = proposedSpan(plan);
  if (span === null) return null;
  return {
    sha256: analysis.sources.map((source) => source.sha256),
    span: { from: String(span.from), to: String(span.to), stages: plan.proposal?.stages ?? null },
    planned: asOrdered(plan, span).contacts.map((contact) => ({
      toothA: contact.toothA,
      toothB: contact.toothB,
      countedMm: countedFrom(contact) === 'nothing' ? null : (contact.countedMm ?? contact.beforeMm),
      afterMm: contact.afterMm,
    })),
  };
}
