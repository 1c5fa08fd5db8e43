import type { Analysis } from '../contacts/types.ts';
import { seededRandom } from '../geometry/seeded-random.ts';
import type { ToothNumber } from '../teeth/types.ts';
import { type ArchContact, type ArchModel, type ArchTooth, asksForClosing } from './arch-model.ts';
import { type CandidateSpan, candidateSpans } from './candidate-spans.ts';
import { type Choice, choose, followsSpanRule } from './choose.ts';
import { decidedModel } from './plan-closure.ts';
import { type PlaneOutcome, type SameThing, sensitivitySentence } from './sensitivity-words.ts';
import type {
  ClosurePlan,
  ClosureSensitivity,
  ClosureSettings,
  PlanAnswer,
  SensitiveInput,
  SensitivityOutcome,
} from './types.ts';
import { isOpenBefore, opensUnseen, type WeighedSpan, weighSpan } from './weigh-span.ts';

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

/** What moves in a draw: contacts of the model by index. */
interface Movable {
  /** With a measured space: within its interval. */
  readonly measured: readonly number[];
  /** Without one, not settled by floss, with a bound: between nothing and the bound. */
  readonly hidden: readonly number[];
}

/** What is proposed: the answer, with span (teeth of the model by index) and stages where stages are. */
interface Proposed {
  readonly answer: PlanAnswer;
  readonly span: { readonly first: number; readonly last: number } | null;
  readonly stages: number;
}

/** One draw: where the inputs stood, each -1 to 1, and what came out. */
interface Draw {
  readonly inputs: Float64Array;
  readonly same: boolean;
  readonly found: Proposed;
}

/**
 * Draws every measured space uniformly from its interval (best estimate +- expanded uncertainty) and every resistance
 * uniformly from +-30 %, plans again, and says whether the proposal holds. Every draw is planned a second time with a
 * space hidden at each contact that the scan could not see, uniform between nothing and the most that can hide there:
 * so it can be told what hangs on those. Decisions open/closed of measured spaces hold over their whole interval and
 * stay; an undecided one is decided by where the draw falls. Contacts that were not seen and have no bound cannot be
 * tried, nor those of a tooth that was neither clicked nor marked missing: with one of these nothing is called robust.
 *
 * That all sizes up to the bound are equally likely is our choice, and a wary one: most bridged contacts touch.
 *
 * @param plan - the plan that stands, when the moved crowns were measured for it: draws are planned in the plane and
 *   compared with it; left out: with what the plane itself proposes
 */
export function planSensitivity(
  analysis: Analysis,
  settings: ClosureSettings,
  options: SensitivityOptions = DEFAULT_SENSITIVITY,
  plan: Pick<ClosurePlan, 'answer' | 'proposal'> | null = null,
): ClosureSensitivity {
  const model = decidedModel(analysis, settings);
  const inPlane = proposedBy(quickChoice(model, settings));
  const base = plan === null ? inPlane : proposedIn(plan, model);
  const movable = movableOf(model);
  const random = seededRandom(options.seed);
  const count = movable.measured.length + model.teeth.length + movable.hidden.length;
  const draws: Draw[] = [];
  const hidden: Draw[] = [];
  for (let i = 0; i < options.draws; i += 1) {
    const inputs = new Float64Array(count);
    for (let k = 0; k < count; k += 1) inputs[k] = 2 * random() - 1;
    const drawOf = (arch: ArchModel): Draw => {
      const found = proposedBy(quickChoice(arch, settings));
      return { inputs, same: sameProposal(found, base), found };
    };
    const seen = moved(model, movable, inputs, options.resistanceSpread, settings.limitMm);
    draws.push(drawOf(seen));
    if (movable.hidden.length > 0) hidden.push(drawOf(withHidden(seen, movable, inputs, settings.limitMm)));
  }
  return summarise(model, settings, options, { base, inPlane }, movable, draws, hidden);
}

function proposedBy(choice: Choice): Proposed {
  return {
    answer: choice.answer,
    span: proposes(choice) && choice.chosen !== null ? choice.chosen.span : null,
    stages: choice.stages ?? 0,
  };
}

function proposedIn(
  { answer, proposal }: Pick<ClosurePlan, 'answer' | 'proposal'>,
  model: ArchModel,
): Proposed {
  if (proposal === null) return { answer, span: null, stages: 0 };
  const indexOf = (tooth: ToothNumber): number => model.teeth.findIndex((one) => one.tooth === tooth);
  return {
    answer,
    span: { first: indexOf(proposal.from), last: indexOf(proposal.to) },
    stages: proposal.stages,
  };
}

function movableOf({ contacts }: ArchModel): Movable {
  const indicesOf = (wanted: (contact: ArchContact) => boolean): number[] =>
    contacts.flatMap((contact, k) => (wanted(contact) ? [k] : []));
  return {
    measured: indicesOf((c) => c.beforeMm !== null && c.u95Mm !== null && c.countedMm === c.beforeMm),
    hidden: indicesOf((c) => isUnseen(c) && c.upperBoundMm !== null && c.upperBoundMm > c.countedMm),
  };
}

/** Neither measured nor settled by floss. */
function isUnseen(contact: ArchContact): boolean {
  return contact.unsettled && contact.beforeMm === null;
}

function byLength(p: CandidateSpan, q: CandidateSpan): number {
  return p.last - p.first - (q.last - q.first);
}

/**
 * The choice without words: shortest spans first, and no longer ones once a length closes everything. Spans that leave
 * an open contact where it is are weighed only where no other closes everything: they never do, and are chosen among
 * only then.
 */
function quickChoice(model: ArchModel, settings: ClosureSettings): Choice {
  const asking: number[] = [];
  for (const [k, contact] of model.contacts.entries()) {
    if (asksForClosing(contact, settings.limitMm)) asking.push(k);
  }
  const spans = candidateSpans(model, asking).sort(byLength);
  const weighed: (WeighedSpan | null)[] = spans.map(() => null);
  let closedLength = Number.POSITIVE_INFINITY;
  for (const [i, span] of spans.entries()) {
    const length = span.last - span.first;
    if (length > closedLength) break;
    if (leavesAnOpenOne(model, span, settings)) continue;
    const one = weighSpan(model, span, settings);
    weighed[i] = one;
    const closes = one.verdict === 'closes-all' && !opensUnseen(one, settings);
    if (closes && followsSpanRule(model, one, settings)) closedLength = length;
  }
  if (closedLength === Number.POSITIVE_INFINITY) {
    for (const [i, span] of spans.entries()) weighed[i] ??= weighSpan(model, span, settings);
  }
  return choose(
    model,
    weighed.filter((one) => one !== null),
    settings,
  );
}

/** Whether a contact is open that a span does not change: neither inside nor behind one of its ends. */
function leavesAnOpenOne({ contacts }: ArchModel, span: CandidateSpan, settings: ClosureSettings): boolean {
  for (const [k, contact] of contacts.entries()) {
    if ((k < span.first - 1 || k > span.last) && isOpenBefore(contact, settings)) return true;
  }
  return false;
}

/** The same arch with its spaces and resistances as drawn; undecided spaces are decided by where the draw falls. */
function moved(
  model: ArchModel,
  { measured }: Movable,
  inputs: Float64Array,
  spread: number,
  limitMm: number,
): ArchModel {
  const contacts = [...model.contacts];
  for (const [j, k] of measured.entries()) {
    const contact = model.contacts[k]!;
    const countedMm = contact.countedMm + inputs[j]! * (contact.u95Mm ?? 0);
    contacts[k] = contact.unsettled
      ? { ...contact, countedMm, open: countedMm > limitMm, unsettled: false }
      : { ...contact, countedMm };
  }
  const teeth: ArchTooth[] = [];
  for (const [i, tooth] of model.teeth.entries()) {
    const factor = 1 + spread * inputs[measured.length + i]!;
    teeth.push({ ...tooth, resistance: tooth.resistance * factor });
  }
  return { ...model, contacts, teeth };
}

/** The same arch with a space hidden at every contact that was not seen: known for this draw, open above the limit. */
function withHidden(
  model: ArchModel,
  { measured, hidden }: Movable,
  inputs: Float64Array,
  limitMm: number,
): ArchModel {
  const contacts = [...model.contacts];
  const first = measured.length + model.teeth.length;
  for (const [j, k] of hidden.entries()) {
    const contact = contacts[k]!;
    const countedMm = ((1 + inputs[first + j]!) / 2) * (contact.upperBoundMm ?? 0);
    contacts[k] = { ...contact, countedMm, open: countedMm > limitMm, unsettled: false };
  }
  return { ...model, contacts };
}

/**
 * The same span is proposed, whether it closes everything or leaves something at the limit; else the same answer.
 * "Floss first" says that no contact is proven open: a draw that needs nothing says no less.
 */
function sameProposal(p: Proposed, base: Proposed): boolean {
  if (p.span === null || base.span === null) {
    return p.answer === base.answer || (base.answer === 'floss-first' && p.answer === 'none-needed');
  }
  return p.span.first === base.span.first && p.span.last === base.span.last;
}

function proposes({ answer }: { readonly answer: PlanAnswer }): boolean {
  return answer === 'tighten' || answer === 'not-enough';
}

/** What of the proposal is looked for in the draws. */
function sameThing({ answer, span }: Proposed): SameThing {
  if (span !== null) return 'span';
  if (answer === 'none-needed') return 'none';
  return answer === 'floss-first' ? 'nothing-open' : 'answer';
}

function summarise(
  model: ArchModel,
  settings: ClosureSettings,
  options: SensitivityOptions,
  { base, inPlane }: { readonly base: Proposed; readonly inPlane: Proposed },
  movable: Movable,
  draws: readonly Draw[],
  hiddenDraws: readonly Draw[],
): ClosureSensitivity {
  const same = draws.filter((draw) => draw.same);
  const sameSpanShare = shareSame(draws);
  const stages = same.map((draw) => draw.found.stages);
  const sameStages = stages.filter((count) => count === base.stages).length;
  const untried = model.contacts.filter((c) => isUnseen(c) && c.upperBoundMm === null).length;
  const firm = (shares: readonly Draw[]): boolean => shareSame(shares) >= ROBUST_SHARE;
  const measuredInputs = inputsOf(model, { ...movable, hidden: [] });
  const hiddenInputs = inputsOf(model, movable).slice(measuredInputs.length);
  const found: Omit<ClosureSensitivity, 'sentence'> = {
    verdict:
      untried === 0 && model.sitesNotSaid.length === 0 && firm(draws) && firm(hiddenDraws)
        ? 'robust'
        : 'depends',
    draws: draws.length,
    sameSpanShare,
    sameStagesShare: draws.length === 0 ? 1 : base.span === null ? sameSpanShare : sameStages / draws.length,
    stagesRange: base.span !== null && stages.length > 0 ? [Math.min(...stages), Math.max(...stages)] : null,
    outcomes: tally(model, draws),
    dependsOn: [
      ...(firm(draws) ? [] : strongest(measuredInputs, 0, draws)),
      ...(firm(hiddenDraws) ? [] : strongest(hiddenInputs, measuredInputs.length, hiddenDraws)),
    ],
    hidden:
      hiddenDraws.length === 0
        ? null
        : {
            contacts: movable.hidden.length,
            sameSpanShare: shareSame(hiddenDraws),
            outcomes: tally(model, hiddenDraws),
          },
    untried,
  };
  const words = {
    same: sameThing(base),
    measured: movable.measured.length,
    anyMeasured: model.contacts.some((contact) => contact.beforeMm !== null),
    notSaid: model.sitesNotSaid.flatMap(({ teeth }) => teeth),
    resistanceSpread: options.resistanceSpread,
    robustShare: ROBUST_SHARE,
    plane: sameProposal(inPlane, base) && inPlane.stages === base.stages ? null : outcomeOf(model, inPlane),
  };
  return { ...found, sentence: sensitivitySentence(found, words, settings) };
}

/** Draws with the same answer and span as the plan; 1 without draws. */
function shareSame(draws: readonly Draw[]): number {
  return draws.length === 0 ? 1 : draws.filter((draw) => draw.same).length / draws.length;
}

/**
 * Inputs whose draws go along with the proposal changing, by their correlation with "the same".
 *
 * @param first - where the first of the inputs stands in a draw
 */
function strongest(
  inputs: readonly SensitiveInput[],
  first: number,
  draws: readonly Draw[],
): SensitiveInput[] {
  const meanSame = shareSame(draws);
  return inputs
    .map((input, j) => ({ input, strength: strengthOf(first + j, draws, meanSame) }))
    .filter(({ strength }) => strength >= NAMED_CORRELATION)
    .sort((p, q) => q.strength - p.strength)
    .slice(0, MOST_NAMED)
    .map(({ input }) => input);
}

/** Size of the correlation of an input with "the same". */
function strengthOf(j: number, draws: readonly Draw[], meanSame: number): number {
  const n = draws.length;
  let sum = 0;
  for (const draw of draws) sum += draw.inputs[j]!;
  const mean = sum / n;
  let covariance = 0;
  let variance = 0;
  for (const draw of draws) {
    const d = draw.inputs[j]! - mean;
    covariance += d * ((draw.same ? 1 : 0) - meanSame);
    variance += d * d;
  }
  return Math.abs(covariance) / Math.sqrt(variance * n * meanSame * (1 - meanSame));
}

/** The inputs in the order in which they are drawn. */
function inputsOf(model: ArchModel, { measured, hidden }: Movable): SensitiveInput[] {
  const contact = (kind: 'space' | 'hidden') => (k: number) => {
    const { toothA, toothB } = model.contacts[k]!;
    return { kind, toothA, toothB };
  };
  return [
    ...measured.map(contact('space')),
    ...model.teeth.map(({ tooth }) => ({ kind: 'resistance', tooth }) as const),
    ...hidden.map(contact('hidden')),
  ];
}

function outcomeOf(model: ArchModel, { answer, span, stages }: Proposed): PlaneOutcome {
  return {
    answer,
    from: span === null ? null : model.teeth[span.first]!.tooth,
    to: span === null ? null : model.teeth[span.last]!.tooth,
    stages,
  };
}

function tally(model: ArchModel, draws: readonly Draw[]): SensitivityOutcome[] {
  const counts = new Map<string, { outcome: Omit<SensitivityOutcome, 'share'>; count: number }>();
  for (const { found } of draws) {
    const { stages: _, ...outcome } = outcomeOf(model, found);
    const key = `${outcome.answer} ${outcome.from} ${outcome.to}`;
    const entry = counts.get(key) ?? { outcome, count: 0 };
    entry.count += 1;
    counts.set(key, entry);
  }
  return [...counts.values()]
    .sort((p, q) => q.count - p.count)
    .map(({ outcome, count }) => ({ ...outcome, share: count / draws.length }));
}
