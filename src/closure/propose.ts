import { type ArchContact, type ArchModel, isAsked, isOpenAfter } from './arch-model.ts';
import { byLengthThenStages, type Choice, choose, followsSpanRule, lengthOf } from './choose.ts';
import { archEffectsNote, sideNotes, slipNotes, unsettledCaution, unsettledText } from './plan-notes.ts';
import { remainText } from './span-reasons.ts';
import type { ClosurePlan, ClosureSettings, PlannedContact, Reason, SpanOutcome } from './types.ts';
import { isOpenBefore, type WeighedSpan } from './weigh-span.ts';
import { endsUpText, listText, mm, mmWithU, stagesText, type ToothWords, toothWords } from './wording.ts';

export type Proposal = Pick<ClosurePlan, 'answer' | 'proposal' | 'reasons'>;

/** Share of the limit from which a predicted space is called near it. */
const NEAR_LIMIT_SHARE = 0.8;

/** A change that two decimals do not show is not worth a sentence. */
const WORTH_SAYING_MM = 0.005;

/** A span with its numbers and with its words. */
interface Tried {
  readonly weighed: WeighedSpan;
  readonly outcome: SpanOutcome;
}

/**
 * The answer to the clinician's question - which stages, over which teeth, how many, or none - by the rule of
 * `choose`, with its reasons as sentences.
 *
 * @param weighed - every span tried
 * @param outcomes - the same spans as the plan shows them
 */
export function propose(
  model: ArchModel,
  weighed: readonly WeighedSpan[],
  outcomes: readonly SpanOutcome[],
  settings: ClosureSettings,
): Proposal {
  const words = toothWords(settings);
  const choice = choose(model, weighed, settings);
  const notes = sideNotes(model, settings, words);
  if (choice.answer === 'none-needed' || choice.answer === 'floss-first') {
    return {
      answer: choice.answer,
      proposal: null,
      reasons: [nothingOpen(model, settings, words), ...notes],
    };
  }
  const tried = weighed
    .map((w, i): Tried => ({ weighed: w, outcome: outcomes[i]! }))
    .sort((p, q) => byLengthThenStages(p.weighed, q.weighed));
  const chosen = tried.find((t) => t.weighed === choice.chosen) ?? null;
  const reasons = [
    openContacts(model, settings, words),
    ...answerReasons(model, tried, chosen, choice, settings, words),
  ];
  const caution = unsettledCaution(model, settings, words);
  const proposed = choice.answer === 'tighten' || choice.answer === 'not-enough' ? chosen : null;
  return {
    answer: choice.answer,
    proposal:
      proposed === null
        ? null
        : { from: proposed.outcome.from, to: proposed.outcome.to, stages: choice.stages ?? 0 },
    reasons: [
      ...reasons,
      ...(proposed === null ? [] : archEffectsNote(proposed.outcome)),
      ...slipNotes(model, words),
      ...(caution === null ? [] : [caution]),
      ...notes,
    ],
  };
}

function openContacts(model: ArchModel, settings: ClosureSettings, words: ToothWords): Reason {
  const asked = model.contacts.filter(isAsked);
  return {
    code: 'OPEN_CONTACTS',
    sentence: `Open: ${listText(asked.map((contact) => openText(contact, words)))}; the limit is ${mm(settings.limitMm)} mm.`,
  };
}

function nothingOpen(model: ArchModel, settings: ClosureSettings, words: ToothWords): Reason {
  const contacts = model.contacts.filter((contact) => contact.kind === 'contact');
  if (contacts.length === 0) {
    const count = model.teeth.length === 1 ? '1 tooth' : `${model.teeth.length} teeth`;
    return {
      code: 'NO_CONTACTS',
      sentence: `The arch has ${count} and no contact between neighbours, so there is nothing to close.`,
    };
  }
  const unsettled = contacts.filter((contact) => contact.unsettled);
  if (unsettled.length === 0) {
    return {
      code: 'NONE_OPEN',
      sentence: `${contacts.length === 1 ? 'The one contact is not' : `None of the ${contacts.length} contacts is`} open against the limit of ${mm(settings.limitMm)} mm, so no tightening stages are needed.`,
    };
  }
  return {
    code: 'FLOSS_FIRST',
    sentence: `No contact is proven open, but the scan cannot show that ${unsettled.length === 1 ? 'this one is' : 'these are'} closed; check with floss first: ${listText(unsettled.map((contact) => unsettledText(contact, words)))}.`,
  };
}

function answerReasons(
  model: ArchModel,
  tried: readonly Tried[],
  chosen: Tried | null,
  choice: Choice,
  settings: ClosureSettings,
  words: ToothWords,
): Reason[] {
  const outcomes = tried.map((t) => t.outcome);
  if (chosen === null) {
    return [
      {
        code: 'NOT_BY_TIGHTENING',
        sentence:
          'Drawing teeth together does not close what is open in this arch: no span leaves it better than it is.',
      },
      ...infeasibleReasons(outcomes, words),
    ];
  }
  if (choice.answer === 'tighten') return tightenReasons(model, tried, chosen, settings, words);
  const { outcome } = chosen;
  if (choice.answer === 'not-enough' && choice.closesWithMoreStages) {
    return atLimitReasons(model, tried, chosen, settings, words);
  }
  if (choice.answer === 'not-enough') {
    return [
      {
        code: 'NOT_ENOUGH',
        sentence: `No span closes everything. ${spanText(outcome, words)} in ${stagesText(outcome.stages ?? 0)} leaves the smallest worst space: ${shortcoming(model, outcome, settings, words)}.`,
      },
      ...infeasibleReasons(outcomes, words),
      ...siteReasons(model, outcome, words),
    ];
  }
  return newPlanReasons(model, outcomes, chosen, choice, settings, words);
}

function newPlanReasons(
  model: ArchModel,
  outcomes: readonly SpanOutcome[],
  { weighed, outcome }: Tried,
  choice: Choice,
  settings: ClosureSettings,
  words: ToothWords,
): Reason[] {
  const remains = remainText(model, weighed, settings, words);
  if (!choice.closesWithMoreStages) {
    return [
      {
        code: 'NEW_PLAN',
        sentence: `No span improves the arch within ${stagesText(settings.maxStages)}: a new plan is needed. ${spanText(outcome, words)}: ${shortcoming(model, outcome, settings, words)}.`,
      },
      ...remainsReason(outcome, remains, settings, words),
      ...infeasibleReasons(outcomes, words),
    ];
  }
  return [
    {
      code: 'NEW_PLAN',
      sentence: `${spanText(outcome, words)} would close what is open but needs ${stagesText(outcome.stagesNeeded ?? 0)}, more than the most allowed (${settings.maxStages}): not a job for tightening stages, a new plan is needed.`,
    },
    ...remainsReason(outcome, remains, settings, words),
  ];
}

function remainsReason(
  outcome: SpanOutcome,
  remains: string | null,
  settings: ClosureSettings,
  words: ToothWords,
): Reason[] {
  if (remains === null) return [];
  return [
    {
      code: 'REMAINS_AFTER_MOST_STAGES',
      sentence: `After ${stagesText(settings.maxStages)} over ${spanText(outcome, words)} ${remains} would remain.`,
    },
  ];
}

/** The most stages leave a space that can't be told from the limit: more stages would close it, fewer words won't. */
function atLimitReasons(
  model: ArchModel,
  tried: readonly Tried[],
  chosen: Tried,
  settings: ClosureSettings,
  words: ToothWords,
): Reason[] {
  const { weighed, outcome } = chosen;
  const needed = outcome.stagesNeeded ?? 0;
  const more = needed - settings.maxStages;
  const remains = remainText(model, weighed, settings, words) ?? 'little';
  return [
    {
      code: 'AT_LIMIT',
      sentence: `${spanText(outcome, words)} is the ${ruledWords(settings)} that would close what is open, in ${stagesText(needed)}; the most allowed is ${settings.maxStages}. After ${stagesText(settings.maxStages)} ${remains} would remain, within its uncertainty at the limit of ${mm(settings.limitMm)} mm; ${more === 1 ? 'one stage more' : `${more} stages more`} would close it.`,
    },
    ...shorterReasons(model, tried, chosen, settings, words),
    ...siteReasons(model, outcome, words),
  ];
}

function tightenReasons(
  model: ArchModel,
  tried: readonly Tried[],
  chosen: Tried,
  settings: ClosureSettings,
  words: ToothWords,
): Reason[] {
  const best = chosen.outcome;
  const worst = worstContact(model, best);
  const reasons: Reason[] = [
    {
      code: 'TIGHTEN',
      sentence: `${spanText(best, words)} in ${stagesText(best.stages ?? 0)} is the ${ruledWords(settings)} after which no contact of the arch is open by the model; the largest motion is ${mm(best.arch?.largestMotionMm ?? 0)} mm.`,
    },
  ];
  if (best.stages !== null && (best.stagesNeeded ?? 0) > best.stages) {
    reasons.push({
      code: 'STAGES_SUFFICE',
      sentence: `Drawing every space to its target would need ${stagesText(best.stagesNeeded ?? 0)}; ${stagesText(best.stages)} already leave no contact open.`,
    });
  }
  if (worst !== null && worst.afterMm >= WORTH_SAYING_MM) {
    const near = worst.afterMm >= NEAR_LIMIT_SHARE * settings.limitMm;
    reasons.push({
      code: near ? 'NEAR_LIMIT' : 'WIDEST_AFTER',
      sentence: `The widest contact afterwards is ${widestText(worst, words)}, ${mm(settings.limitMm - worst.afterMm)} mm below the limit.`,
    });
    const clean = tried.find(
      ({ outcome }) =>
        outcome.verdict === 'closes-all' && !outcome.contacts.some((contact) => contact.opened),
    )?.outcome;
    if (best.contacts.some((contact) => contact.opened) && clean) {
      reasons.push({
        code: 'LONGER_OPENS_NOTHING',
        sentence: `${spanText(clean, words)} in ${stagesText(clean.stages ?? 0)} widens no contact.`,
      });
    }
  }
  return [
    ...reasons,
    ...shorterReasons(model, tried, chosen, settings, words),
    ...siteReasons(model, best, words),
  ];
}

/** The kind of span that the rule of the settings lets the planner propose. */
function ruledWords(settings: ClosureSettings): string {
  switch (settings.spanRule ?? 'shortest') {
    case 'shortest':
      return 'shortest span';
    case 'widens-nothing':
      return 'shortest span that widens no contact and';
    case 'terminal-molars':
      return 'span from terminal tooth to terminal tooth, the only one the span rule allows,';
  }
}

/** Why every shorter span was passed over, in one sentence each. */
function shorterReasons(
  model: ArchModel,
  tried: readonly Tried[],
  chosen: Tried,
  settings: ClosureSettings,
  words: ToothWords,
): Reason[] {
  return tried
    .filter((t) => lengthOf(t.weighed) < lengthOf(chosen.weighed))
    .map(({ weighed, outcome }) => ({
      code: 'SHORTER_SPAN',
      sentence:
        shortcoming(model, outcome, settings, words) === '' && !followsSpanRule(model, weighed, settings)
          ? `${spanText(outcome, words)} would close everything, but the span rule passes it over.`
          : `${spanText(outcome, words)} falls short: ${shortcoming(model, outcome, settings, words)}.`,
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
  const wasOpen = (contact: PlannedContact): boolean =>
    isOpenBefore(model.contacts[outcome.contacts.indexOf(contact)]!, settings);
  const opens = open
    .filter((contact) => !wasOpen(contact))
    .map((contact) => `${words.pair(contact)} ${endsUpText(contact)}`);
  const leaves = open.filter((contact) => wasOpen(contact)).map((contact) => afterText(contact, words));
  const parts: string[] = [];
  if (leaves.length > 0) parts.push(`it leaves ${listText(leaves)}`);
  if (opens.length > 0) parts.push(`it opens ${listText(opens)}`);
  if (outcome.verdict === 'too-many-stages') {
    parts.push(`the whole motion needs ${stagesText(outcome.stagesNeeded ?? 0)}`);
  }
  return listText(parts);
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
  const changed = outcome.contacts.filter(
    (c, k) => model.contacts[k]!.kind === 'site' && Math.abs(c.afterMm) > WORTH_SAYING_MM,
  );
  return changed.map((contact) => ({
    code: 'SITE_CHANGES',
    sentence: `The edentulous site ${words.pair(contact)} becomes ${mm(Math.abs(contact.afterMm))} mm ${contact.afterMm > 0 ? 'wider' : 'narrower'}.`,
  }));
}

function openText(contact: ArchContact, words: ToothWords): string {
  const name = words.pair(contact);
  const target = contact.targetMm < 0 ? `, to be over-closed by ${mm(-contact.targetMm)} mm` : '';
  if (contact.beforeMm === null) return `${name} (by floss, no number from the scan${target})`;
  return `${name} (${mmWithU(contact.beforeMm, contact.u95Mm)}${target})`;
}

function afterText(contact: PlannedContact, words: ToothWords): string {
  return `${words.pair(contact)} at ${mm(contact.afterMm)} mm`;
}

function widestText(contact: PlannedContact, words: ToothWords): string {
  const text = endsUpText(contact);
  return text.startsWith('by') ? `${words.pair(contact)}, opened ${text}` : `${words.pair(contact)} ${text}`;
}

function spanText(outcome: SpanOutcome, words: ToothWords): string {
  return words.pair({ toothA: outcome.from, toothB: outcome.to });
}

function stillOpen(model: ArchModel, outcome: SpanOutcome, settings: ClosureSettings): PlannedContact[] {
  return outcome.contacts.filter((c, k) => isOpenAfter(model.contacts[k]!, c.afterMm, settings.limitMm));
}

function worstContact(model: ArchModel, outcome: SpanOutcome): PlannedContact | null {
  let worst: PlannedContact | null = null;
  outcome.contacts.forEach((contact, k) => {
    if (model.contacts[k]!.kind === 'contact' && (worst === null || contact.afterMm > worst.afterMm))
      worst = contact;
  });
  return worst;
}
