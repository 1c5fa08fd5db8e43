import { type ArchModel, isOpenAfter } from './arch-model.ts';
import { type Choice, followsSpanRule, lengthOf } from './choose.ts';
import { remainText } from './span-reasons.ts';
import {
  CLOSES_WHAT_IS_SEEN,
  type ClosureSettings,
  type PlannedContact,
  type Reason,
  type SpanOutcome,
} from './types.ts';
import { isOpenBefore, type WeighedSpan } from './weigh-span.ts';
import { endsUpText, listText, mm, stagesText, type ToothWords, WORTH_SAYING_MM } from './wording.ts';

/** Share of the limit from which a predicted space is called near it. */
const NEAR_LIMIT_SHARE = 0.8;

/** A span with its numbers and with its words. */
export interface Tried {
  readonly weighed: WeighedSpan;
  readonly outcome: SpanOutcome;
}

/**
 * Why the answer is what it is: the span that is proposed, or why none is, and what the others fall short of. One
 * sentence each.
 *
 * @param tried - every span, the shortest first
 * @param chosen - the span that the choice fell on; null where none would help
 */
export function answerReasons(
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
  if (choice.but === 'unseen-end') return seenOnlyReasons(model, tried, chosen, settings, words);
  const { outcome } = chosen;
  if (choice.but === 'stages' && choice.answer === 'not-enough') {
    return atLimitReasons(model, tried, chosen, settings, words);
  }
  if (choice.answer === 'not-enough') {
    return [
      {
        code: 'NOT_ENOUGH',
        sentence: `No span closes everything. ${words.span(outcome)} in ${stagesText(outcome.stages ?? 0)} leaves the smallest worst space: ${shortcoming(model, outcome, settings, words)}.`,
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
  if (choice.but !== 'stages') {
    return [
      {
        code: 'NEW_PLAN',
        sentence: `No span improves the arch within ${stagesText(settings.maxStages)}: a new plan is needed. ${words.span(outcome)}: ${shortcoming(model, outcome, settings, words)}.`,
      },
      ...remainsReason(outcome, remains, settings, words),
      ...infeasibleReasons(outcomes, words),
    ];
  }
  return [
    {
      code: 'NEW_PLAN',
      sentence: `${words.span(outcome)} would close what is open but needs ${stagesText(outcome.stagesNeeded ?? 0)}, more than the most allowed (${settings.maxStages}): not a job for tightening stages, a new plan is needed.`,
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
      sentence: `After ${stagesText(settings.maxStages)} over ${words.span(outcome)}, ${remains} would remain.`,
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
      sentence: `${words.span(outcome)} is the ${ruledWords(settings)} that would close what is open, in ${stagesText(needed)}; the most allowed is ${settings.maxStages}. After ${stagesText(settings.maxStages)}, ${remains} would remain, within its uncertainty at the limit of ${mm(settings.limitMm)} mm; ${more === 1 ? 'one stage more' : `${more} stages more`} would close it.`,
    },
    ...shorterReasons(model, tried, chosen, settings, words),
    ...siteReasons(model, outcome, words),
  ];
}

/** Everything that was seen closes, but the span draws at a tooth whose other neighbour was not. */
function seenOnlyReasons(
  model: ArchModel,
  tried: readonly Tried[],
  chosen: Tried,
  settings: ClosureSettings,
  words: ToothWords,
): Reason[] {
  const { weighed, outcome } = chosen;
  const places = model.unseenEnds.flatMap(({ tooth, behind }, e) =>
    weighed.unseenOpeningsMm[e]! > settings.limitMm
      ? [`${words.tooth(behind)} and ${words.tooth(tooth)} by ${mm(weighed.unseenOpeningsMm[e]!)} mm`]
      : [],
  );
  return [
    {
      code: CLOSES_WHAT_IS_SEEN,
      sentence: `${words.span(outcome)} in ${stagesText(outcome.stages ?? 0)} closes every contact that was measured, but would open the one between ${listText(places)} if a tooth stands there: measure the whole arch, or mark the teeth that are missing.`,
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
      sentence: `${words.span(best)} in ${stagesText(best.stages ?? 0)} is the ${ruledWords(settings)} after which no contact of the arch is open by the model; the largest motion is ${mm(best.arch?.largestMotionMm ?? 0)} mm.`,
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
        sentence: `${words.span(clean)} in ${stagesText(clean.stages ?? 0)} widens no contact.`,
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
          ? `${words.span(outcome)} would close everything, but the span rule passes it over.`
          : `${words.span(outcome)} falls short: ${shortcoming(model, outcome, settings, words)}.`,
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
  return parts.join('; ');
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
          sentence: `${words.span(outcome)}: ${reason.sentence}`,
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

function afterText(contact: PlannedContact, words: ToothWords): string {
  return `${words.pair(contact)} at ${mm(contact.afterMm)} mm`;
}

function widestText(contact: PlannedContact, words: ToothWords): string {
  const text = endsUpText(contact);
  return text.startsWith('by') ? `${words.pair(contact)}, opened ${text}` : `${words.pair(contact)} ${text}`;
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
