import { type ArchContact, type ArchModel, isOpenAfter } from './arch-model.ts';
import { widenedSites } from './judge-span.ts';
import { CONTACT_TOLERANCE_MM, NUMERIC_ZERO_MM } from './tolerances.ts';
import type { ClosurePlan, ClosureSettings, PlannedContact, Reason, SpanOutcome } from './types.ts';
import { listText, mm, mmWithU, stagesText, type ToothWords, toothWords } from './wording.ts';

export type Proposal = Pick<ClosurePlan, 'answer' | 'proposal' | 'reasons'>;

/** Share of the limit from which a predicted space is called near it. */
const NEAR_LIMIT_SHARE = 0.8;

/**
 * The answer to the clinician's question: which stages, over which teeth, how many, or none.
 *
 * The shortest span, then the fewest stages, after which no contact of the arch is open against the limit. If a
 * span would do but needs too many stages: a new plan. If none would do: the span that leaves the smallest worst
 * space, marked as not enough, as long as it improves on doing nothing; else not by tightening. If no contact is
 * open: floss first where the scan leaves contacts unsettled, else none needed.
 *
 * @param outcomes - every span tried
 */
export function propose(
  model: ArchModel,
  outcomes: readonly SpanOutcome[],
  settings: ClosureSettings,
): Proposal {
  const words = toothWords(settings);
  const asked = model.contacts.filter((contact) => contact.open || contact.targetMm < 0);
  const notes = sideNotes(model, settings, words);
  if (asked.length === 0) return withNotes(nothingOpen(model, settings, words), notes);

  const opening: Reason = {
    code: 'OPEN_CONTACTS',
    sentence: `Open: ${listText(asked.map((contact) => openText(contact, words)))}; the limit is ${mm(settings.limitMm)} mm.`,
  };
  const caution = unsettledCaution(model, settings, words);
  const decided = decide(model, outcomes, settings, words);
  return withNotes(
    { ...decided, reasons: [opening, ...decided.reasons, ...(caution === null ? [] : [caution])] },
    notes,
  );
}

function withNotes(proposal: Proposal, notes: readonly Reason[]): Proposal {
  return { ...proposal, reasons: [...proposal.reasons, ...notes] };
}

function nothingOpen(model: ArchModel, settings: ClosureSettings, words: ToothWords): Proposal {
  const contacts = model.contacts.filter((contact) => contact.kind === 'contact');
  if (contacts.length === 0) {
    const count = model.teeth.length === 1 ? '1 tooth' : `${model.teeth.length} teeth`;
    return {
      answer: 'none-needed',
      proposal: null,
      reasons: [
        {
          code: 'NO_CONTACTS',
          sentence: `The arch has ${count} and no contact between neighbours, so there is nothing to close.`,
        },
      ],
    };
  }
  const unsettled = contacts.filter((contact) => contact.unsettled);
  if (unsettled.length === 0) {
    return {
      answer: 'none-needed',
      proposal: null,
      reasons: [
        {
          code: 'NONE_OPEN',
          sentence: `None of the ${contacts.length} contacts is open against the limit of ${mm(settings.limitMm)} mm, so no tightening stages are needed.`,
        },
      ],
    };
  }
  return {
    answer: 'floss-first',
    proposal: null,
    reasons: [
      {
        code: 'FLOSS_FIRST',
        sentence: `No contact is proven open, but the scan cannot show that ${unsettled.length === 1 ? 'this one is' : 'these are'} closed; check with floss first: ${listText(unsettled.map((contact) => unsettledText(contact, words)))}.`,
      },
    ],
  };
}

function decide(
  model: ArchModel,
  outcomes: readonly SpanOutcome[],
  settings: ClosureSettings,
  words: ToothWords,
): Proposal {
  const closers = outcomes
    .filter((outcome) => outcome.verdict === 'closes-all')
    .sort(byLengthThenStages(model));
  const best = closers[0];
  if (best) return tighten(model, outcomes, closers, best, settings, words);

  const whole = outcomes
    .filter(
      (outcome) => outcome.verdict === 'too-many-stages' && closesWithoutStageLimit(model, outcome, settings),
    )
    .sort(byLengthThenStages(model))[0];
  if (whole) {
    const open = stillOpen(model, whole, settings).map((c) => afterText(c, words));
    const worst = worstContact(model, whole);
    const widest =
      worst === null ? 'nothing' : `no space above the limit; the widest is ${afterText(worst, words)}`;
    return {
      answer: 'new-plan',
      proposal: null,
      reasons: [
        {
          code: 'NEW_PLAN',
          sentence: `${spanText(whole, words)} would close what is open but needs ${stagesText(whole.stagesNeeded ?? 0)}, more than the most allowed (${settings.maxStages}): not a job for tightening stages, a new plan is needed.`,
        },
        {
          code: 'REMAINS_AFTER_MOST_STAGES',
          sentence: `After ${stagesText(settings.maxStages)} over ${spanText(whole, words)} there would remain ${open.length > 0 ? listText(open) : widest}.`,
        },
      ],
    };
  }
  return notEnough(model, outcomes, settings, words);
}

function tighten(
  model: ArchModel,
  outcomes: readonly SpanOutcome[],
  closers: readonly SpanOutcome[],
  best: SpanOutcome,
  settings: ClosureSettings,
  words: ToothWords,
): Proposal {
  const worst = worstContact(model, best);
  const reasons: Reason[] = [
    {
      code: 'TIGHTEN',
      sentence: `${spanText(best, words)} in ${stagesText(best.stages ?? 0)} is the shortest span after which no contact of the arch is open by the model; the largest motion is ${mm(best.arch?.largestMotionMm ?? 0)} mm.`,
    },
  ];
  if (worst !== null && worst.afterMm > NUMERIC_ZERO_MM) {
    const near = worst.afterMm >= NEAR_LIMIT_SHARE * settings.limitMm;
    reasons.push({
      code: near ? 'NEAR_LIMIT' : 'WIDEST_AFTER',
      sentence: `The widest contact afterwards is ${afterText(worst, words)}, ${mm(settings.limitMm - worst.afterMm)} mm below the limit.`,
    });
    const clean = closers.find((outcome) => !outcome.contacts.some((contact) => contact.opened));
    if (best.contacts.some((contact) => contact.opened) && clean) {
      reasons.push({
        code: 'LONGER_OPENS_NOTHING',
        sentence: `${spanText(clean, words)} in ${stagesText(clean.stages ?? 0)} widens no contact.`,
      });
    }
  }
  reasons.push(...shorterReasons(model, outcomes, best, settings, words), ...siteReasons(model, best, words));
  return { answer: 'tighten', proposal: { from: best.from, to: best.to, stages: best.stages ?? 0 }, reasons };
}

/** Why every shorter span was passed over, in one sentence each. */
function shorterReasons(
  model: ArchModel,
  outcomes: readonly SpanOutcome[],
  best: SpanOutcome,
  settings: ClosureSettings,
  words: ToothWords,
): Reason[] {
  const size = toothCount(model, best);
  return outcomes
    .filter(
      (outcome) => outcome !== best && toothCount(model, outcome) < size && outcome.verdict !== 'closes-all',
    )
    .map((outcome) => ({
      code: 'SHORTER_SPAN',
      sentence: `${spanText(outcome, words)} falls short: ${shortcoming(model, outcome, settings, words)}.`,
    }));
}

function shortcoming(
  model: ArchModel,
  outcome: SpanOutcome,
  settings: ClosureSettings,
  words: ToothWords,
): string {
  if (outcome.verdict === 'infeasible') return 'no motion of the free teeth closes it';
  const open = stillOpen(model, outcome, settings);
  const wasOpen = (contact: PlannedContact): boolean => {
    const k = outcome.contacts.indexOf(contact);
    return isOpenAfter(model.contacts[k]!, model.contacts[k]!.countedMm, settings.limitMm);
  };
  const opens = open.filter((contact) => !wasOpen(contact)).map((contact) => afterText(contact, words));
  const leaves = open.filter((contact) => wasOpen(contact)).map((contact) => afterText(contact, words));
  const parts: string[] = [];
  if (leaves.length > 0) parts.push(`it leaves ${listText(leaves)}`);
  if (opens.length > 0) parts.push(`it opens ${listText(opens)}`);
  if (outcome.verdict === 'too-many-stages') {
    parts.push(`the whole motion needs ${stagesText(outcome.stagesNeeded ?? 0)}`);
  }
  return listText(parts);
}

function notEnough(
  model: ArchModel,
  outcomes: readonly SpanOutcome[],
  settings: ClosureSettings,
  words: ToothWords,
): Proposal {
  const before = score(
    model,
    model.contacts.map((contact) => contact.countedMm),
    settings,
  );
  const ranked = outcomes
    .filter((outcome) => outcome.stages !== null && outcome.stages > 0)
    .map((outcome) => ({
      outcome,
      score: score(
        model,
        outcome.contacts.map((c) => c.afterMm),
        settings,
      ),
    }))
    .sort((p, q) => compareScores(p.score, q.score) || byLengthThenStages(model)(p.outcome, q.outcome));
  const best = ranked[0];
  if (best && improvesOn(best.score, before)) {
    const { outcome } = best;
    return {
      answer: 'not-enough',
      proposal: { from: outcome.from, to: outcome.to, stages: outcome.stages ?? 0 },
      reasons: [
        {
          code: 'NOT_ENOUGH',
          sentence: `No span closes everything. ${spanText(outcome, words)} in ${stagesText(outcome.stages ?? 0)} leaves the smallest worst space: ${shortcoming(model, outcome, settings, words)}.`,
        },
        ...infeasibleReasons(outcomes, words),
        ...siteReasons(model, outcome, words),
      ],
    };
  }
  const tooMany = outcomes.filter((outcome) => outcome.verdict === 'too-many-stages');
  if (tooMany.length > 0) {
    const longest = tooMany[tooMany.length - 1]!;
    return {
      answer: 'new-plan',
      proposal: null,
      reasons: [
        {
          code: 'NEW_PLAN',
          sentence: `No span improves the arch within ${stagesText(settings.maxStages)}: a new plan is needed. ${spanText(longest, words)} after ${stagesText(settings.maxStages)}: ${shortcoming(model, longest, settings, words)}.`,
        },
        ...infeasibleReasons(outcomes, words),
      ],
    };
  }
  return {
    answer: 'not-by-tightening',
    proposal: null,
    reasons: [
      {
        code: 'NOT_BY_TIGHTENING',
        sentence:
          'Drawing teeth together does not close what is open in this arch: no span leaves it better than it is.',
      },
      ...infeasibleReasons(outcomes, words),
    ],
  };
}

/** The distinct findings of the spans that no motion closes, each with the first span that met it. */
function infeasibleReasons(outcomes: readonly SpanOutcome[], words: ToothWords): Reason[] {
  const seen = new Map<string, Reason>();
  for (const outcome of outcomes) {
    if (outcome.verdict !== 'infeasible') continue;
    for (const reason of outcome.reasons) {
      if (!seen.has(reason.sentence)) {
        seen.set(reason.sentence, {
          code: reason.code,
          sentence: `${spanText(outcome, words)}: ${reason.sentence}`,
        });
      }
    }
  }
  return [...seen.values()];
}

function siteReasons(model: ArchModel, outcome: SpanOutcome, words: ToothWords): Reason[] {
  return widenedSites(model, outcome).map((contact) => ({
    code: 'SITE_CHANGES',
    sentence: `The edentulous site ${words.pair(contact)} becomes ${mm(Math.abs(contact.afterMm))} mm ${contact.afterMm > 0 ? 'wider' : 'narrower'}.`,
  }));
}

/** Contacts that stay unsettled beside open ones: said, but they do not decide. */
function unsettledCaution(model: ArchModel, settings: ClosureSettings, words: ToothWords): Reason | null {
  const unsettled = model.contacts.filter((contact) => contact.unsettled);
  if (unsettled.length === 0) return null;
  return {
    code: 'UNSETTLED',
    sentence: `The scan cannot show whether ${listText(unsettled.map((contact) => unsettledText(contact, words)))} ${unsettled.length === 1 ? 'is' : 'are'} closed within ${mm(settings.limitMm)} mm; check with floss, the plan follows what it says.`,
  };
}

/** Things the user said that do not fit the arch or the scan. */
function sideNotes(model: ArchModel, settings: ClosureSettings, words: ToothWords): Reason[] {
  const notes: Reason[] = [];
  const present = new Set(model.teeth.map((tooth) => tooth.tooth));
  const absent = settings.fixed.filter((tooth) => !present.has(tooth));
  if (absent.length > 0) {
    notes.push({
      code: 'FIXED_NOT_PRESENT',
      sentence: `Marked as fixed but not a tooth of this arch: ${listText(absent.map((tooth) => words.tooth(tooth)))}.`,
    });
  }
  for (const contact of model.contacts) {
    const said = contact.floss?.finding;
    if (
      (said === 'closed' && contact.status === 'open') ||
      (said === 'open' && contact.status === 'closed')
    ) {
      const measured = contact.beforeMm === null ? '' : ` (${mmWithU(contact.beforeMm, contact.u95Mm)})`;
      notes.push({
        code: 'FLOSS_DISAGREES',
        sentence: `At ${words.pair(contact)} the scan says ${contact.status}${measured} and floss says ${said}; the plan follows the scan, check again in the mouth.`,
      });
    } else if (
      contact.floss !== null &&
      contact.beforeMm === null &&
      contact.open &&
      contact.floss.spaceMm == null
    ) {
      notes.push({
        code: 'FLOSS_WITHOUT_SIZE',
        sentence: `Floss found ${words.pair(contact)} open; the scan gives no number there, so the plan counts it at ${mm(contact.countedMm)} mm, ${contact.upperBoundMm === null ? 'the limit' : 'the most that can hide'}.`,
      });
    }
  }
  return notes;
}

// --- small helpers ---

function openText(contact: ArchContact, words: ToothWords): string {
  const name = words.pair(contact);
  const target = contact.targetMm < 0 ? `, to be over-closed by ${mm(-contact.targetMm)} mm` : '';
  if (contact.beforeMm === null) return `${name} (by floss, no number from the scan${target})`;
  return `${name} (${mmWithU(contact.beforeMm, contact.u95Mm)}${target})`;
}

function unsettledText(contact: ArchContact, words: ToothWords): string {
  const name = words.pair(contact);
  if (contact.beforeMm !== null) return `${name} (${mmWithU(contact.beforeMm, contact.u95Mm)})`;
  const bound = contact.upperBoundMm === null ? 'no bound' : `up to ${mm(contact.upperBoundMm)} mm`;
  return `${name} (${contact.status === 'bridged' ? 'bridged' : 'not measurable'}, ${bound})`;
}

function afterText(contact: PlannedContact, words: ToothWords): string {
  return `${words.pair(contact)} at ${mm(contact.afterMm)} mm`;
}

function spanText(outcome: SpanOutcome, words: ToothWords): string {
  return words.pair({ toothA: outcome.from, toothB: outcome.to });
}

function toothCount(model: ArchModel, outcome: SpanOutcome): number {
  const index = (tooth: number): number => model.teeth.findIndex((t) => t.tooth === tooth);
  return index(outcome.to) - index(outcome.from) + 1;
}

function byLengthThenStages(model: ArchModel): (p: SpanOutcome, q: SpanOutcome) => number {
  return (p, q) =>
    toothCount(model, p) - toothCount(model, q) ||
    (p.stagesNeeded ?? 0) - (q.stagesNeeded ?? 0) ||
    (p.arch?.largestMotionMm ?? 0) - (q.arch?.largestMotionMm ?? 0);
}

function stillOpen(model: ArchModel, outcome: SpanOutcome, settings: ClosureSettings): PlannedContact[] {
  return outcome.contacts.filter((c, k) => isOpenAfter(model.contacts[k]!, c.afterMm, settings.limitMm));
}

function closesWithoutStageLimit(model: ArchModel, outcome: SpanOutcome, settings: ClosureSettings): boolean {
  return !outcome.contacts.some((c, k) =>
    isOpenAfter(model.contacts[k]!, c.afterWholeMotionMm ?? c.afterMm, settings.limitMm),
  );
}

function worstContact(model: ArchModel, outcome: SpanOutcome): PlannedContact | null {
  let worst: PlannedContact | null = null;
  outcome.contacts.forEach((contact, k) => {
    if (model.contacts[k]!.kind === 'contact' && (worst === null || contact.afterMm > worst.afterMm))
      worst = contact;
  });
  return worst;
}

/** The largest open space, then all open spaces together, mm. */
type Score = readonly [number, number];

function score(model: ArchModel, spacesMm: readonly number[], settings: ClosureSettings): Score {
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
