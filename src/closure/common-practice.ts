import { type ArchModel, isOpenAfter } from './arch-model.ts';
import type { ClosurePlan, ClosureSettings, CommonPractice, SpanOutcome } from './types.ts';
import { endsUpText, listText, stagesText, toothWords } from './wording.ts';

type Proposal = Pick<ClosurePlan, 'answer' | 'proposal'>;

/** What the arithmetic says when it proposes no stages. */
const WITHOUT_STAGES: Record<ClosurePlan['answer'], string> = {
  tighten: 'proposes stages',
  'none-needed': 'finds nothing open and proposes no stages',
  'floss-first': 'asks for a check with floss first',
  'not-enough': 'finds no span that closes everything',
  'new-plan': 'asks for a new plan',
  'not-by-tightening': 'finds that tightening does not close what is open',
};

/** What the rule asks for: a span, no stages, or nothing that this arch could follow. */
type Ruled =
  | { readonly asks: 'span'; readonly ends: SpanEnds; readonly where: string }
  | { readonly asks: 'none'; readonly where: string }
  | { readonly asks: 'nothing'; readonly sentence: string };

type SpanEnds = Pick<SpanOutcome, 'from' | 'to'>;

/**
 * The trade’s rule of thumb, from where teeth were moved and where enamel was reduced. It is custom without a
 * source, and is shown as such:
 * - only in the anterior teeth: canine to canine;
 * - in the posterior teeth: terminal molar to terminal molar, never ending at a first molar with a second behind it;
 * - neither: no tightening stages.
 * Where only one of the two was said, the rule goes by that one, and says so.
 *
 * @returns the span of the rule, and whether the computed answer agrees; `agrees` is null when nothing was said
 */
export function commonPractice(
  model: ArchModel,
  settings: ClosureSettings,
  plan: Proposal,
  spans: readonly SpanOutcome[] = [],
): CommonPractice {
  const words = toothWords(settings);
  const ruled = ruleOfThumb(model, settings);
  if (ruled.asks === 'nothing') return { from: null, to: null, agrees: null, sentence: ruled.sentence };
  const computed =
    plan.proposal === null
      ? `the arithmetic ${WITHOUT_STAGES[plan.answer]}`
      : `the arithmetic proposes ${words.span(plan.proposal)}`;
  const agreement = (agrees: boolean): string => (agrees ? `${computed} too` : `${computed} instead`);
  if (ruled.asks === 'none') {
    const agrees = plan.proposal === null;
    return {
      from: null,
      to: null,
      agrees,
      sentence: `By the trade’s rule of thumb (no published source) ${ruled.where} and no stages are ordered; ${agreement(agrees)}.`,
    };
  }
  const { from, to } = ruled.ends;
  const agrees = plan.proposal !== null && plan.proposal.from === from && plan.proposal.to === to;
  const outcome = spans.find((one) => one.from === from && one.to === to) ?? null;
  return {
    from,
    to,
    agrees,
    sentence: `By the trade’s rule of thumb (no published source) ${ruled.where}, ${words.span(ruled.ends)}; ${agreement(agrees)}.${agrees ? '' : whyNot(model, settings, plan, outcome)}`,
  };
}

function ruleOfThumb(model: ArchModel, settings: ClosureSettings): Ruled {
  const { moved, reduction } = settings;
  if (moved === null && reduction === null) {
    return {
      asks: 'nothing',
      sentence:
        'The trade has a rule of thumb (no published source): it goes by where teeth were moved and where enamel was reduced, and neither was said.',
    };
  }
  const unsaid = moved === null ? 'where teeth were moved' : 'where enamel was reduced';
  const caveat = moved === null || reduction === null ? ` (${unsaid} was not said)` : '';
  const parts = [
    ...(moved === null || moved === 'none' ? [] : [`movement in the ${moved} teeth`]),
    ...(reduction === null || reduction === 'none' ? [] : [`reduction in the ${reduction} teeth`]),
  ];
  if (parts.length === 0) {
    const done = [...(moved === null ? [] : ['moved']), ...(reduction === null ? [] : ['reduced'])];
    return { asks: 'none', where: `nothing was ${done.join(' or ')}${caveat}` };
  }
  const posterior = moved === 'posterior' || reduction === 'posterior';
  const kind = posterior ? 'terminal molar to terminal molar' : 'canine to canine';
  const ends = posterior ? terminalSpan(model) : canineSpan(model);
  if (ends === null) {
    return {
      asks: 'nothing',
      sentence: `The trade’s rule of thumb (no published source) asks for a span from ${kind}, which ${posterior && model.unseenEnds.length > 0 ? 'the teeth that were measured do not reach' : 'this arch does not have'}.`,
    };
  }
  return {
    asks: 'span',
    ends,
    where: `${parts.join(' and ')}${caveat} ${parts.length === 1 ? 'asks' : 'ask'} for ${kind}`,
  };
}

/** What the arithmetic finds about the span of the rule, where it proposes another or none. */
function whyNot(
  model: ArchModel,
  settings: ClosureSettings,
  plan: Proposal,
  ruled: SpanOutcome | null,
): string {
  if (ruled === null) return '';
  const words = toothWords(settings);
  const name = words.span(ruled);
  const open = ruled.contacts.filter((contact, k) =>
    isOpenAfter(model.contacts[k]!, contact.afterMm, settings.limitMm),
  );
  const list = listText(open.map((contact) => `${words.pair(contact)} ${endsUpText(contact)}`));
  switch (ruled.verdict) {
    case 'closes-all': {
      if (plan.proposal === null) return '';
      const shorter = settings.spanRule === undefined || settings.spanRule === 'shortest';
      return ` Over ${name} everything would close too, in ${stagesText(ruled.stages ?? 0)}${shorter ? '; the proposal is the shorter span' : ', but the span rule passes it over'}.`;
    }
    case 'nothing-to-close':
      return ` Nothing inside ${name} is open, so it would move nothing.`;
    case 'infeasible':
      return ` No motion of the free teeth closes ${name}.`;
    case 'too-many-stages':
      return ` The whole motion over ${name} needs ${stagesText(ruled.stagesNeeded ?? 0)}${open.length > 0 ? ` and would still leave ${list}` : ''}.`;
    case 'leaves-open':
    case 'opens-others':
      return ` ${name} would leave or open ${list}.`;
  }
}

/** Null also where the terminal molars need not be those that were measured. */
function terminalSpan(model: ArchModel): SpanEnds | null {
  if (model.unseenEnds.length > 0) return null;
  const first = model.teeth[0];
  const last = model.teeth[model.teeth.length - 1];
  if (!first || !last || first.side !== 'right' || last.side !== 'left') return null;
  return { from: first.tooth, to: last.tooth };
}

function canineSpan(model: ArchModel): SpanEnds | null {
  const canine = (side: 'right' | 'left'): number | undefined =>
    model.teeth.find((tooth) => tooth.side === side && tooth.digit === 3)?.tooth;
  const from = canine('right');
  const to = canine('left');
  return from === undefined || to === undefined ? null : { from, to };
}
