import type { ClosurePlan, SpanOutcome } from './types.ts';

/** The span that is proposed, as the spans of the plan show it; null without a proposal. */
export function proposedSpan({ proposal, spans }: ClosurePlan): SpanOutcome | null {
  if (proposal === null) return null;
  return spans.find(({ from, to }) => from === proposal.from && to === proposal.to) ?? null;
}

/**
 * A span as the stages to order leave it. Differs from the span itself only where the most stages are proposed although
 * the whole motion needs more: the row of spans then shows the whole motion, so that spaces, motions and effects on the
 * arch are taken back to the share those stages make. Any other span, proposed or not, is returned as it is.
 */
export function asOrdered(plan: ClosurePlan, span: SpanOutcome): SpanOutcome {
  const share = span.maxStagesShare ?? null;
  if (span !== proposedSpan(plan) || span.stages !== null || share === null) return span;
  const times = (value: number | null): number | null => (value === null ? null : value * share);
  return {
    ...span,
    stages: plan.proposal?.stages ?? null,
    contacts: span.contacts.map((contact) => ({
      ...contact,
      afterMm: contact.afterMaxStagesMm ?? contact.afterMm,
    })),
    teeth: span.teeth.map((tooth) => ({
      ...tooth,
      mesialMm: tooth.mesialMm * share,
      buccalMm: tooth.buccalMm * share,
      rotationRad: tooth.rotationRad * share,
      dxMm: tooth.dxMm * share,
      dyMm: tooth.dyMm * share,
    })),
    arch: span.arch && {
      perimeterChangeMm: span.arch.perimeterChangeMm * share,
      depthChangeMm: span.arch.depthChangeMm * share,
      canineWidthChangeMm: times(span.arch.canineWidthChangeMm),
      molarWidthChangeMm: times(span.arch.molarWidthChangeMm),
      midlineShiftMm: span.arch.midlineShiftMm * share,
      largestMotionMm: span.arch.largestMotionMm * share,
    },
    shownShare: share,
  };
}

/** Whether any span has something to close; where none has, spans and stages say no more than the contact table. */
export function hasSomethingToClose({ spans }: ClosurePlan): boolean {
  return spans.some(({ verdict }) => verdict !== 'nothing-to-close');
}
