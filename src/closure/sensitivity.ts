import type { Analysis } from '../contacts/types.ts';
import { seededRandom } from '../geometry/seeded-random.ts';
import { type ArchModel, asksForClosing } from './arch-model.ts';
import { candidateSpans } from './candidate-spans.ts';
import { type Choice, choose, followsSpanRule } from './choose.ts';
import { decidedModel } from './plan-closure.ts';
import type { ClosureSensitivity, ClosureSettings, SensitiveInput, SensitivityOutcome } from './types.ts';
import { type WeighedSpan, weighSpan } from './weigh-span.ts';
import { listText, stagesText, type ToothWords, toothWords } from './wording.ts';

export interface SensitivityOptions {
  readonly draws: number;
  readonly seed: number;
  /** Resistances move between 1 - spread and 1 + spread. */
  readonly resistanceSpread: number;
}

export const DEFAULT_SENSITIVITY: SensitivityOptions = { draws: 200, seed: 20_261, resistanceSpread: 0.3 };

/** A proposal that holds in at least this share of the draws is called robust. */
const ROBUST_SHARE = 0.95;

/** An input is named when its draws go with the change of proposal at least this closely (correlation). */
const NAMED_CORRELATION = 0.25;
const MOST_NAMED = 3;

/** One draw: where the inputs stood, and what came out. */
interface Draw {
  readonly inputs: Float64Array;
  readonly same: boolean;
  readonly choice: Choice;
}

/**
 * Draws every measured space uniformly from its interval (best estimate +- expanded uncertainty) and every resistance
 * uniformly from +-30 %, plans again, and says whether the proposal holds. Decisions open/closed stay as they are:
 * they already hold over the whole interval. Contacts without a number do not move; what they may hide is for floss,
 * not for arithmetic.
 */
export function planSensitivity(
  analysis: Analysis,
  settings: ClosureSettings,
  options: SensitivityOptions = DEFAULT_SENSITIVITY,
): ClosureSensitivity {
  const model = decidedModel(analysis, settings);
  const base = quickChoice(model, settings);
  const movable = model.contacts.flatMap((contact, k) =>
    contact.beforeMm !== null && contact.u95Mm !== null && contact.countedMm === contact.beforeMm ? [k] : [],
  );
  const random = seededRandom(options.seed);
  const draws: Draw[] = [];
  for (let i = 0; i < options.draws; i += 1) {
    const inputs = new Float64Array(movable.length + model.teeth.length);
    for (let j = 0; j < inputs.length; j += 1) inputs[j] = 2 * random() - 1;
    const choice = quickChoice(moved(model, movable, inputs, options.resistanceSpread), settings);
    draws.push({ inputs, same: sameSpan(choice, base), choice });
  }
  return summarise(model, settings, options, base, movable, draws);
}

/** The choice without words: shortest spans first, and no longer ones once a length closes everything. */
function quickChoice(model: ArchModel, settings: ClosureSettings): Choice {
  const asking = model.contacts.flatMap((contact, k) =>
    asksForClosing(contact, settings.limitMm) ? [k] : [],
  );
  const spans = candidateSpans(model, asking).sort((p, q) => p.last - p.first - (q.last - q.first));
  const weighed: WeighedSpan[] = [];
  let closedLength = Number.POSITIVE_INFINITY;
  for (const span of spans) {
    const length = span.last - span.first;
    if (length > closedLength) break;
    const one = weighSpan(model, span, settings);
    weighed.push(one);
    if (one.verdict === 'closes-all' && followsSpanRule(model, one, settings)) closedLength = length;
  }
  return choose(model, weighed, settings);
}

function moved(
  model: ArchModel,
  movable: readonly number[],
  inputs: Float64Array,
  spread: number,
): ArchModel {
  const contacts = [...model.contacts];
  movable.forEach((k, j) => {
    const contact = model.contacts[k]!;
    contacts[k] = { ...contact, countedMm: contact.countedMm + inputs[j]! * (contact.u95Mm ?? 0) };
  });
  const teeth = model.teeth.map((tooth, i) => ({
    ...tooth,
    resistance: tooth.resistance * (1 + spread * inputs[movable.length + i]!),
  }));
  return { ...model, contacts, teeth };
}

/** The same span is proposed, whether it closes everything or leaves something at the limit; else the same answer. */
function sameSpan(p: Choice, q: Choice): boolean {
  if (!proposes(p) || !proposes(q)) return p.answer === q.answer;
  return p.chosen?.span.first === q.chosen?.span.first && p.chosen?.span.last === q.chosen?.span.last;
}

function proposes({ answer }: Choice): boolean {
  return answer === 'tighten' || answer === 'not-enough';
}

function stagesOf(choice: Choice): number {
  return choice.stages ?? 0;
}

function summarise(
  model: ArchModel,
  settings: ClosureSettings,
  options: SensitivityOptions,
  base: Choice,
  movable: readonly number[],
  draws: readonly Draw[],
): ClosureSensitivity {
  const words = toothWords(settings);
  const same = draws.filter((draw) => draw.same);
  const sameSpanShare = draws.length === 0 ? 1 : same.length / draws.length;
  const stages = same.map((draw) => stagesOf(draw.choice));
  const sameStages = stages.filter((count) => count === stagesOf(base)).length;
  const verdict = sameSpanShare >= ROBUST_SHARE ? 'robust' : 'depends';
  const dependsOn = verdict === 'robust' ? [] : strongest(model, movable, draws);
  const stagesRange: ClosureSensitivity['stagesRange'] =
    proposes(base) && stages.length > 0 ? [Math.min(...stages), Math.max(...stages)] : null;
  const outcomes = tally(model, draws);
  return {
    verdict,
    draws: draws.length,
    sameSpanShare,
    sameStagesShare: draws.length === 0 ? 1 : proposes(base) ? sameStages / draws.length : sameSpanShare,
    stagesRange,
    outcomes,
    dependsOn,
    sentence: sentenceOf(
      options,
      { verdict, sameSpanShare, stagesRange, dependsOn, outcomes, draws: draws.length },
      words,
    ),
  };
}

/** Inputs whose draws go along with the proposal changing, by their correlation with "the same". */
function strongest(model: ArchModel, movable: readonly number[], draws: readonly Draw[]): SensitiveInput[] {
  const n = draws.length;
  const meanSame = draws.filter((draw) => draw.same).length / n;
  const inputCount = movable.length + model.teeth.length;
  const ranked: { input: SensitiveInput; strength: number }[] = [];
  for (let j = 0; j < inputCount; j += 1) {
    const mean = draws.reduce((sum, draw) => sum + draw.inputs[j]!, 0) / n;
    let covariance = 0;
    let variance = 0;
    for (const draw of draws) {
      const d = draw.inputs[j]! - mean;
      covariance += d * ((draw.same ? 1 : 0) - meanSame);
      variance += d * d;
    }
    const strength = Math.abs(covariance) / Math.sqrt(variance * n * meanSame * (1 - meanSame));
    if (!(strength >= NAMED_CORRELATION)) continue;
    const k = movable[j];
    const contact = k === undefined ? null : model.contacts[k]!;
    ranked.push({
      strength,
      input: contact
        ? { kind: 'space', toothA: contact.toothA, toothB: contact.toothB }
        : { kind: 'resistance', tooth: model.teeth[j - movable.length]!.tooth },
    });
  }
  ranked.sort((p, q) => q.strength - p.strength);
  return ranked.slice(0, MOST_NAMED).map(({ input }) => input);
}

function tally(model: ArchModel, draws: readonly Draw[]): SensitivityOutcome[] {
  const counts = new Map<string, { outcome: Omit<SensitivityOutcome, 'share'>; count: number }>();
  for (const { choice } of draws) {
    const proposed = proposes(choice) ? choice.chosen : null;
    const outcome = {
      answer: choice.answer,
      from: proposed === null ? null : model.teeth[proposed.span.first]!.tooth,
      to: proposed === null ? null : model.teeth[proposed.span.last]!.tooth,
    };
    const key = `${outcome.answer} ${outcome.from} ${outcome.to}`;
    const entry = counts.get(key) ?? { outcome, count: 0 };
    entry.count += 1;
    counts.set(key, entry);
  }
  return [...counts.values()]
    .sort((p, q) => q.count - p.count)
    .map(({ outcome, count }) => ({ ...outcome, share: count / draws.length }));
}

function sentenceOf(
  options: SensitivityOptions,
  found: Pick<
    ClosureSensitivity,
    'verdict' | 'sameSpanShare' | 'stagesRange' | 'dependsOn' | 'outcomes' | 'draws'
  >,
  words: ToothWords,
): string {
  const spread = Math.round(options.resistanceSpread * 100);
  const percent = `${Math.floor(found.sameSpanShare * 100)} %`;
  const [fewest, most] = found.stagesRange ?? [0, 0];
  const stages = fewest === most ? '' : ` It takes ${fewest} to ${stagesText(most)}.`;
  if (found.verdict === 'robust') {
    return `Robust: the same span is proposed in ${percent} of ${found.draws} draws of the measured spaces within their intervals and of the resistances within ${spread} %; contacts without a measured space are not varied.${stages}`;
  }
  const inputs = found.dependsOn.map((input) =>
    input.kind === 'space'
      ? `the space ${words.pair(input)}`
      : `the resistance of tooth ${words.tooth(input.tooth)}`,
  );
  const on = inputs.length > 0 ? listText(inputs) : 'several inputs together';
  const others = found.outcomes
    .slice(0, MOST_NAMED)
    .map((outcome) => `${outcomeText(outcome, words)} ${Math.round(outcome.share * 100)} %`);
  return `Depends on ${on}: the same span is proposed in ${percent} of ${found.draws} draws (${others.join(', ')}); contacts without a measured space are not varied.${stages}`;
}

const ANSWER_WORDS: Record<SensitivityOutcome['answer'], string> = {
  tighten: 'closes',
  'not-enough': 'not enough',
  'none-needed': 'none needed',
  'floss-first': 'floss first',
  'new-plan': 'new plan',
  'not-by-tightening': 'not by tightening',
};

function outcomeText(outcome: SensitivityOutcome, words: ToothWords): string {
  if (outcome.from === null || outcome.to === null) return ANSWER_WORDS[outcome.answer];
  const span = words.pair({ toothA: outcome.from, toothB: outcome.to });
  return outcome.answer === 'tighten' ? span : `${span} (${ANSWER_WORDS[outcome.answer]})`;
}
