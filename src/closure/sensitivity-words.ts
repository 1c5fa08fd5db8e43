import type { ToothNumber } from '../teeth/types.ts';
import type { ClosureSensitivity, ClosureSettings, PlanAnswer, SensitivityOutcome } from './types.ts';
import { listText, stagesText, type ToothWords, toothWords } from './wording.ts';

/** Outcomes that are told one by one; what is rarer is counted together. */
const MOST_TOLD = 3;

/** What came out, behind how many times it did: "164 times a new plan is needed". */
const ANSWER_CLAUSES: Readonly<Record<PlanAnswer, string>> = {
  tighten: 'close what is open',
  'not-enough': 'are not quite enough',
  'none-needed': 'no stages are needed',
  'floss-first': 'floss has to come first',
  'new-plan': 'a new plan is needed',
  'not-by-tightening': 'tightening does not help',
};

/** The same as a thing: "the plan would say a new plan". */
const ANSWER_NOUNS: Readonly<Record<PlanAnswer, string>> = {
  tighten: 'it closes',
  'not-enough': 'not quite enough',
  'none-needed': 'no stages',
  'floss-first': 'floss first',
  'new-plan': 'a new plan',
  'not-by-tightening': 'not by tightening',
};

/**
 * What comes out the same: a span, that no stages are needed, that no contact is shown to be open ("floss first"), or
 * another answer without a span.
 */
export type SameThing = 'span' | 'none' | 'nothing-open' | 'answer';

/** What is proposed in the plane, where moved crowns were not measured. */
export type PlaneOutcome = Omit<SensitivityOutcome, 'share'> & { readonly stages: number };

/** How the sentence is said. */
export interface SensitivityWording {
  readonly same: SameThing;
  /** Spaces that were measured and could be varied: floss has not settled them. */
  readonly measured: number;
  /** Whether any space was measured at all. */
  readonly anyMeasured: boolean;
  /** Teeth that may stand there and whose contacts no draw has, as nobody clicked them or called them missing. */
  readonly notSaid: readonly ToothNumber[];
  /** Share by which resistances were varied. */
  readonly resistanceSpread: number;
  /** Share of draws from which a proposal is called robust. */
  readonly robustShare: number;
  /** What the plane proposes, where measuring on moved crowns led to something else; null where it did not. */
  readonly plane: PlaneOutcome | null;
}

const SAME_WORDS: Readonly<Record<SameThing, string>> = {
  span: 'the same span is proposed',
  none: 'no stages are needed',
  'nothing-open': 'no contact is shown to be open',
  answer: 'the answer is the same',
};

/**
 * How firm the proposal is, in words: what was varied, and how often the same span came out where it nearly always did,
 * else how often what did; then what the contacts that were not seen could change. A count of the same beside the counts
 * of all that came out would be read as one of them.
 * What could not be tried is told, and where the plan was made again on moved crowns it is said what the plane alone,
 * in which the draws are planned, would have proposed.
 */
export function sensitivitySentence(
  found: Omit<ClosureSensitivity, 'sentence'>,
  wording: SensitivityWording,
  settings: ClosureSettings,
): string {
  const words = toothWords(settings);
  return [
    measuredSentence(found, wording, words),
    hiddenSentence(found, wording, words),
    untriedSentence(found),
    notSaidSentence(wording.notSaid, words),
    planeSentence(wording.plane, words),
  ].join('');
}

function untriedSentence({ untried }: Omit<ClosureSensitivity, 'sentence'>): string {
  if (untried === 0) return '';
  return untried === 1
    ? ' One contact that was not seen has no bound and could not be tried.'
    : ` ${untried} contacts that were not seen have no bound and could not be tried.`;
}

function notSaidSentence(teeth: readonly ToothNumber[], words: ToothWords): string {
  if (teeth.length === 0) return '';
  const names = listText(teeth.map((tooth) => words.tooth(tooth)));
  const places = teeth.length === 1 ? 'its place was' : 'their places were';
  return ` The contacts of ${names} could not be tried: ${places} taken for empty every time, which nobody has said.`;
}

function planeSentence(plane: PlaneOutcome | null, words: ToothWords): string {
  if (plane === null) return '';
  const stages = plane.from === null ? '' : ` with ${stagesText(plane.stages)}`;
  return ` None of these tries was measured on moved crowns; without that the plan itself would say ${outcomeNoun(plane, words)}${stages}.`;
}

function measuredSentence(
  found: Omit<ClosureSensitivity, 'sentence'>,
  wording: SensitivityWording,
  words: ToothWords,
): string {
  const { same, measured, resistanceSpread, robustShare } = wording;
  const firm = found.sameSpanShare >= robustShare;
  const [fewest, most] = found.stagesRange ?? [0, 0];
  const stages = fewest === most ? '' : ` The proposed span takes ${fewest} to ${stagesText(most)}.`;
  const by = `by up to ${Math.round(resistanceSpread * 100)} %`;
  const varied =
    measured === 0
      ? `the resistances of the teeth varied ${by}`
      : `the measured spaces varied within their intervals and the resistances of the teeth ${by}`;
  const tried = `tried ${found.draws} times with ${varied}`;
  if (firm) {
    const times = timesText(found.sameSpanShare, found.draws);
    return `${firmWords(found, wording)}: ${tried}, ${times} ${SAME_WORDS[same]}.${stages}`;
  }
  const inputs = found.dependsOn.flatMap((input) => {
    if (input.kind === 'resistance') return [`the resistance of tooth ${words.tooth(input.tooth)}`];
    return input.kind === 'space' ? [`the space ${words.pair(input)}`] : [];
  });
  const on = inputs.length > 0 ? listText(inputs) : 'several inputs together';
  return `Depends on ${on}: ${tried}, ${outcomesText(found.outcomes, found.draws, words)}.${stages}`;
}

/** How it begins where what was measured leaves the proposal as it is: what that is worth comes first. */
function firmWords(
  { verdict, hidden }: Omit<ClosureSensitivity, 'sentence'>,
  { measured, anyMeasured, robustShare }: SensitivityWording,
): string {
  if (verdict === 'robust') return 'Robust';
  if (measured === 0)
    return anyMeasured ? 'All spaces that were measured are settled by floss' : 'No space was measured';
  const hangs = hidden !== null && hidden.sameSpanShare < robustShare;
  return hangs ? 'Depends on what was not seen. By what was measured alone' : 'Robust as far as was measured';
}

function hiddenSentence(
  { hidden, dependsOn, draws }: Omit<ClosureSensitivity, 'sentence'>,
  { same, robustShare }: SensitivityWording,
  words: ToothWords,
): string {
  if (hidden === null) return '';
  const may =
    hidden.contacts === 1
      ? 'The contact that was not seen may hide a space of any size up to its bound'
      : `Each of the ${hidden.contacts} contacts that were not seen may hide a space of any size up to its bound`;
  if (hidden.sameSpanShare >= robustShare) {
    return ` ${may}: tried so ${draws} times, ${timesText(hidden.sameSpanShare, draws)} ${SAME_WORDS[same]}.`;
  }
  const named = dependsOn.flatMap((input) => (input.kind === 'hidden' ? [words.pair(input)] : []));
  const where = named.length === 0 ? '' : ` at ${listText(named)} first of all`;
  return ` ${may}: tried so ${draws} times, ${outcomesText(hidden.outcomes, draws, words)}. Floss${where} settles which.`;
}

/** Counts, not shares: they add up. */
function outcomesText(outcomes: readonly SensitivityOutcome[], draws: number, words: ToothWords): string {
  const rare = outcomes.slice(MOST_TOLD);
  const times = (found: readonly SensitivityOutcome[]): string =>
    timesText(
      found.reduce((sum, { share }) => sum + share, 0),
      draws,
    );
  return listText([
    ...outcomes.slice(0, MOST_TOLD).map((outcome) => `${times([outcome])} ${outcomeClause(outcome, words)}`),
    ...(rare.length > 0 ? [`${times(rare)} something else comes out`] : []),
  ]);
}

/** Behind how often it was tried: `134 times`, `once`, `every time`. */
function timesText(share: number, draws: number): string {
  const count = Math.round(share * draws);
  if (count === draws) return 'every time';
  return count === 1 ? 'once' : `${count} times`;
}

/** `stages over 17 to 27 are not quite enough`. */
function outcomeClause(outcome: Omit<SensitivityOutcome, 'share'>, words: ToothWords): string {
  const clause = ANSWER_CLAUSES[outcome.answer];
  if (outcome.from === null || outcome.to === null) return clause;
  return `stages over ${words.span({ from: outcome.from, to: outcome.to })} ${clause}`;
}

/** `17 to 27, not quite enough`. */
function outcomeNoun(outcome: Omit<SensitivityOutcome, 'share'>, words: ToothWords): string {
  if (outcome.from === null || outcome.to === null) return ANSWER_NOUNS[outcome.answer];
  const span = words.span({ from: outcome.from, to: outcome.to });
  return outcome.answer === 'tighten' ? span : `${span}, ${ANSWER_NOUNS[outcome.answer]}`;
}
