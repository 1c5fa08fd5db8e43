import { archEffects } from './arch-effects.ts';
import { type ArchContact, type ArchModel, asksForClosing, isOpenAfter } from './arch-model.ts';
import type { CandidateSpan } from './candidate-spans.ts';
import type { BodyMotion } from './chain-model.ts';
import { dot2 } from './plane.ts';
import { type SpanSolution, solveSpan } from './solve-span.ts';
import { countStages, type StageCount } from './stages.ts';
import { CONTACT_TOLERANCE_MM, NUMERIC_ZERO_MM } from './tolerances.ts';
import type {
  ClosureSettings,
  PlannedContact,
  Reason,
  SpanOutcome,
  SpanVerdict,
  ToothMotion,
} from './types.ts';
import { listText, mm, stagesText, type ToothWords, toothWords } from './wording.ts';

/** Beyond the second decimal of a report a change is not worth a sentence. */
const WORTH_SAYING_MM = 0.005;
const FIRST_MOLAR = 6;

type Moved = Extract<SpanSolution, { kind: 'moves' | 'nothing-to-close' }>;

/** Solves one span and judges it by every contact of the arch. */
export function judgeSpan(model: ArchModel, span: CandidateSpan, settings: ClosureSettings): SpanOutcome {
  const solution = solveSpan(model, span, settings);
  if (solution.kind === 'contradiction' || solution.kind === 'absurd') {
    return infeasibleOutcome(model, span, settings, solution);
  }
  return judgeSolution(model, span, settings, solution);
}

/** Judges motions that are already known, by every contact of the arch. */
export function judgeSolution(
  model: ArchModel,
  span: CandidateSpan,
  settings: ClosureSettings,
  solution: Moved,
): SpanOutcome {
  const largestChangeMm = solution.changes.reduce((most, change) => Math.max(most, Math.abs(change)), 0);
  const stages = countStages(solution.motions, largestChangeMm, settings);
  const contacts = model.contacts.map((contact, k) =>
    plannedContact(contact, span, k, settings, solution, stages.share),
  );
  const verdict = verdictOf(model, contacts, settings, solution, stages);
  const motions = solution.motions.map((motion) => scaleMotion(motion, stages.share));
  return {
    from: model.teeth[span.first]!.tooth,
    to: model.teeth[span.last]!.tooth,
    stages: stages.ordered,
    stagesNeeded: stages.needed,
    contacts,
    teeth: motions.map((motion, i) => toothMotion(model, i, motion)),
    arch: archEffects(
      model,
      motions,
      solution.changes.map((change) => change * stages.share),
    ),
    verdict,
    reasons: spanReasons(model, span, settings, contacts, stages, verdict),
    expressedShare: stages.share,
  };
}

function scaleMotion(motion: BodyMotion, share: number): BodyMotion {
  return { dx: motion.dx * share, dy: motion.dy * share, theta: motion.theta * share };
}

function plannedContact(
  contact: ArchContact,
  span: CandidateSpan,
  k: number,
  settings: ClosureSettings,
  solution: Moved,
  share: number,
): PlannedContact {
  const change = solution.changes[k]! * share;
  const afterMm = settle(contact.countedMm + change);
  const grew = change > CONTACT_TOLERANCE_MM;
  const crossed = !wasOpen(contact, settings) && change > 0 && afterMm > settings.limitMm;
  return {
    toothA: contact.toothA,
    toothB: contact.toothB,
    status: contact.status,
    beforeMm: contact.beforeMm,
    afterMm,
    insideSpan: k >= span.first && k < span.last,
    opened: contact.kind === 'contact' && (grew || crossed),
    countedMm: contact.countedMm,
    afterWholeMotionMm: settle(contact.countedMm + solution.changes[k]!),
    tension: solution.tensions[k]!,
    floss: contact.floss?.finding ?? null,
  };
}

/** A space that differs from zero only by rounding is zero. */
function settle(spaceMm: number): number {
  return Math.abs(spaceMm) < NUMERIC_ZERO_MM ? 0 : spaceMm;
}

function wasOpen(contact: ArchContact, settings: ClosureSettings): boolean {
  return isOpenAfter(contact, contact.countedMm, settings.limitMm);
}

function verdictOf(
  model: ArchModel,
  contacts: readonly PlannedContact[],
  settings: ClosureSettings,
  solution: Moved,
  stages: StageCount,
): SpanVerdict {
  if (solution.kind === 'nothing-to-close') return 'nothing-to-close';
  if (stages.ordered === null) return 'too-many-stages';
  let verdict: SpanVerdict = 'closes-all';
  contacts.forEach((contact, k) => {
    if (!isOpenAfter(model.contacts[k]!, contact.afterMm, settings.limitMm)) return;
    if (wasOpen(model.contacts[k]!, settings)) verdict = 'leaves-open';
    else if (verdict === 'closes-all') verdict = 'opens-others';
  });
  return verdict;
}

function toothMotion(model: ArchModel, index: number, motion: BodyMotion): ToothMotion {
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

/** Nothing moves: the outcome of a span that no set of motions closes. */
function infeasibleOutcome(
  model: ArchModel,
  span: CandidateSpan,
  settings: ClosureSettings,
  solution: Exclude<SpanSolution, Moved>,
): SpanOutcome {
  const words = toothWords(settings);
  return {
    from: model.teeth[span.first]!.tooth,
    to: model.teeth[span.last]!.tooth,
    stages: null,
    stagesNeeded: null,
    contacts: model.contacts.map(
      (contact, k): PlannedContact => ({
        toothA: contact.toothA,
        toothB: contact.toothB,
        status: contact.status,
        beforeMm: contact.beforeMm,
        afterMm: contact.countedMm,
        insideSpan: k >= span.first && k < span.last,
        opened: false,
        countedMm: contact.countedMm,
        afterWholeMotionMm: contact.countedMm,
        tension: null,
        floss: contact.floss?.finding ?? null,
      }),
    ),
    teeth: [],
    arch: null,
    verdict: 'infeasible',
    reasons: [infeasibleReason(model, settings, words, solution)],
  };
}

function infeasibleReason(
  model: ArchModel,
  settings: ClosureSettings,
  words: ToothWords,
  solution: Exclude<SpanSolution, Moved>,
): Reason {
  const fixed = model.teeth.filter((tooth) => tooth.fixed).map((tooth) => words.tooth(tooth.tooth));
  const because = fixed.length > 0 ? ` Fixed: ${listText(fixed)}.` : '';
  if (solution.kind === 'absurd') {
    const tooth = words.tooth(model.teeth[solution.tooth]!.tooth);
    const turn = (Math.abs(solution.turnRad) * 180) / Math.PI;
    return {
      code: 'ABSURD_MOTION',
      sentence: `Tooth ${tooth} would have to travel ${mm(solution.travelMm)} mm and turn ${turn.toFixed(1)} degrees to close ${mm(solution.closedMm)} mm, so tightening does not close this span.${because}`,
    };
  }
  const contact = solution.contact === null ? null : model.contacts[solution.contact]!;
  if (contact === null) {
    return {
      code: 'CONTRADICTION',
      sentence: `No motion of the teeth closes this span without forcing teeth into their neighbours.${because}`,
    };
  }
  const open = asksForClosing(contact, settings.limitMm);
  return {
    code: 'CONTRADICTION',
    sentence: `No motion of the free teeth ${open ? 'closes' : 'keeps'} ${words.pair(contact)}${open ? ` (${mm(contact.countedMm)} mm)` : ' as it is'}: the teeth on both sides are held.${because}`,
  };
}

function spanReasons(
  model: ArchModel,
  span: CandidateSpan,
  settings: ClosureSettings,
  contacts: readonly PlannedContact[],
  stages: StageCount,
  verdict: SpanVerdict,
): Reason[] {
  const words = toothWords(settings);
  const reasons: Reason[] = [];
  if (verdict === 'nothing-to-close') {
    reasons.push({
      code: 'NOTHING_TO_CLOSE',
      sentence: 'No contact inside this span is open, so it moves nothing.',
    });
  } else {
    reasons.push(stageReason(model, settings, words, stages));
  }
  reasons.push(...contactReasons(model, settings, words, contacts));
  if (verdict === 'closes-all') {
    const worst = contacts.reduce((most, c, k) => (isSite(model, k) ? most : Math.max(most, c.afterMm)), 0);
    reasons.push({
      code: 'CLOSES_ALL',
      sentence: `No contact of the arch stays open: the widest measures ${mm(worst)} mm by the model, the limit is ${mm(settings.limitMm)} mm.`,
    });
  }
  reasons.push(...placeReasons(model, span, words, verdict));
  return reasons;
}

function stageReason(
  model: ArchModel,
  settings: ClosureSettings,
  words: ToothWords,
  stages: StageCount,
): Reason {
  const tooth = stages.body === null ? null : model.teeth[stages.body]!;
  const limit =
    stages.by === 'motion'
      ? `${mm(settings.perStageMm)} mm`
      : `${((settings.perStageRad * 180) / Math.PI).toFixed(1)} degrees`;
  const expressed = `${Math.round(settings.expression * 100)} %`;
  const mover = tooth === null ? '' : ` Tooth ${words.tooth(tooth.tooth)} decides.`;
  if (stages.ordered !== null) {
    const rounded =
      stages.needed > stages.ordered
        ? ` The whole motion would need ${stages.needed}, for less than ${mm(CONTACT_TOLERANCE_MM)} mm more.`
        : '';
    return {
      code: 'STAGES',
      sentence: `${stagesText(stages.ordered)} at up to ${limit} per stage, of which ${expressed} is expected to be expressed.${mover}${rounded}`,
    };
  }
  return {
    code: 'TOO_MANY_STAGES',
    sentence: `The whole motion needs ${stagesText(stages.needed)} at up to ${limit} per stage and ${expressed} expression, more than the most allowed (${settings.maxStages}); the spaces shown are those after ${stagesText(settings.maxStages)}.${mover}`,
  };
}

function contactReasons(
  model: ArchModel,
  settings: ClosureSettings,
  words: ToothWords,
  contacts: readonly PlannedContact[],
): Reason[] {
  const reasons: Reason[] = [];
  const remains: string[] = [];
  const opens: string[] = [];
  const opensBelow: string[] = [];
  contacts.forEach((contact, k) => {
    const place = model.contacts[k]!;
    const text = `${words.pair(contact)} at ${mm(contact.afterMm)} mm`;
    const open = isOpenAfter(place, contact.afterMm, settings.limitMm);
    if (open && wasOpen(place, settings)) remains.push(contact.opened ? `${text} (wider than before)` : text);
    else if (open) opens.push(text);
    else if (contact.opened) opensBelow.push(text);
  });
  if (remains.length > 0)
    reasons.push({ code: 'REMAINS_OPEN', sentence: `Stays open: ${listText(remains)}.` });
  if (opens.length > 0) reasons.push({ code: 'OPENS', sentence: `Opens ${listText(opens)}.` });
  if (opensBelow.length > 0) {
    reasons.push({
      code: 'OPENS_BELOW_LIMIT',
      sentence: `Widens ${listText(opensBelow)}, not above the limit of ${mm(settings.limitMm)} mm.`,
    });
  }
  return reasons;
}

function placeReasons(
  model: ArchModel,
  span: CandidateSpan,
  words: ToothWords,
  verdict: SpanVerdict,
): Reason[] {
  if (verdict === 'nothing-to-close') return [];
  const reasons: Reason[] = [];
  const held = model.contacts.slice(span.first, span.last).filter((contact) => contact.kind === 'site');
  if (held.length > 0) {
    reasons.push({
      code: 'SITE_HELD',
      sentence: `The width of the site without a measured contact is held: ${listText(held.map((c) => words.pair(c)))}.`,
    });
  }
  const fixed = model.teeth.slice(span.first, span.last + 1).filter((tooth) => tooth.fixed);
  if (fixed.length > 0) {
    reasons.push({
      code: 'FIXED_INSIDE',
      sentence: `Fixed and not moved: ${listText(fixed.map((t) => words.tooth(t.tooth)))}.`,
    });
  }
  for (const [end, behind] of [
    [span.first, span.first - 1],
    [span.last, span.last + 1],
  ] as const) {
    const tooth = model.teeth[end]!;
    const next = model.teeth[behind];
    if (tooth.digit === FIRST_MOLAR && next && next.digit > FIRST_MOLAR && next.side === tooth.side) {
      reasons.push({
        code: 'ENDS_AT_FIRST_MOLAR',
        sentence: `Ends at the first molar ${words.tooth(tooth.tooth)} although ${words.tooth(next.tooth)} stands behind it.`,
      });
    }
  }
  return reasons;
}

function isSite(model: ArchModel, k: number): boolean {
  return model.contacts[k]!.kind === 'site';
}

/** Contacts whose change is worth a sentence. */
export function widenedSites(model: ArchModel, outcome: SpanOutcome): readonly PlannedContact[] {
  return outcome.contacts.filter((c, k) => isSite(model, k) && Math.abs(c.afterMm) > WORTH_SAYING_MM);
}
