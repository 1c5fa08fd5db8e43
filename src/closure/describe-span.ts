import { archEffects } from './arch-effects.ts';
import type { ArchModel } from './arch-model.ts';
import type { BodyMotion } from './chain-model.ts';
import { dot2 } from './plane.ts';
import { spanReasons } from './span-reasons.ts';
import { CONTACT_TOLERANCE_MM } from './tolerances.ts';
import type { ClosureSettings, PlannedContact, SpanOutcome, ToothMotion } from './types.ts';
import { isOpenBefore, type WeighedSpan } from './weigh-span.ts';

/** The outcome of one span as the plan shows it: spaces, motions, effects on the arch, reasons. */
export function describeSpan(model: ArchModel, weighed: WeighedSpan, settings: ClosureSettings): SpanOutcome {
  const { span, solution, stages } = weighed;
  const contacts = model.contacts.map((_, k) => plannedContact(model, weighed, k, settings));
  const ends = { from: model.teeth[span.first]!.tooth, to: model.teeth[span.last]!.tooth };
  const reasons = spanReasons(model, weighed, contacts, settings);
  if (stages === null || solution.kind === 'contradiction' || solution.kind === 'absurd') {
    return {
      ...ends,
      stages: null,
      stagesNeeded: null,
      contacts,
      teeth: [],
      arch: null,
      verdict: 'infeasible',
      reasons,
    };
  }
  const motions = solution.motions.map((motion) => scaleMotion(motion, weighed.shownShare));
  const changes = solution.changes.map((change) => change * weighed.shownShare);
  return {
    ...ends,
    stages: stages.ordered,
    stagesNeeded: stages.needed,
    contacts,
    teeth: motions.map((motion, i) => toothMotion(model, i, motion)),
    arch: archEffects(model, motions, changes),
    verdict: weighed.verdict,
    reasons,
    shownShare: weighed.shownShare,
    maxStagesShare: weighed.afterMostMm === null ? null : stages.share,
  };
}

function plannedContact(
  model: ArchModel,
  weighed: WeighedSpan,
  k: number,
  settings: ClosureSettings,
): PlannedContact {
  const contact = model.contacts[k]!;
  const { span, solution } = weighed;
  const afterMm = weighed.afterMm[k]!;
  const change = afterMm - contact.countedMm;
  const grew = change > CONTACT_TOLERANCE_MM;
  const crossed = !isOpenBefore(contact, settings) && change > 0 && afterMm > settings.limitMm;
  return {
    toothA: contact.toothA,
    toothB: contact.toothB,
    status: contact.status,
    beforeMm: contact.beforeMm,
    afterMm,
    afterMaxStagesMm: weighed.afterMostMm?.[k] ?? null,
    insideSpan: k >= span.first && k < span.last,
    opened: contact.kind === 'contact' && (grew || crossed),
    countedMm: contact.countedMm,
    afterWholeMotionMm: weighed.wholeMm[k]!,
    tension: 'tensions' in solution ? solution.tensions[k]! : null,
    floss: contact.floss?.finding ?? null,
  };
}

function scaleMotion(motion: BodyMotion, share: number): BodyMotion {
  return { dx: motion.dx * share, dy: motion.dy * share, theta: motion.theta * share };
}

/** The motion of one tooth as the plan shows it. */
export function toothMotion(model: ArchModel, index: number, motion: BodyMotion): ToothMotion {
  const tooth = model.teeth[index]!;
  const d = [motion.dx, motion.dy] as const;
  return {
    tooth: tooth.tooth,
    mesialMm: dot2(d, tooth.mesial),
    buccalMm: dot2(d, tooth.buccal),
    rotationRad: motion.theta * model.turnSign,
    dxMm: motion.dx,
    dyMm: motion.dy,
  };
}
