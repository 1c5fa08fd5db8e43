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

/**
 * The trade's rule of thumb, from where teeth were moved and where enamel was reduced. It is custom without a
 * source, and is shown as such:
 * - only in the anterior teeth: canine to canine;
 * - in the posterior teeth: terminal molar to terminal molar, never ending at a first molar with a second behind it;
 * - neither: no tightening stages.
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
  const { moved, reduction } = settings;
  if (moved === null && reduction === null) {
    return {
      from: null,
      to: null,
      agrees: null,
      sentence:
        'The trade has a rule of thumb (no published source): it needs to know where teeth were moved and where enamel was reduced.',
    };
  }
  const computed =
    plan.proposal === null
      ? `the arithmetic ${WITHOUT_STAGES[plan.answer]}`
      : `the arithmetic proposes ${words.pair({ toothA: plan.proposal.from, toothB: plan.proposal.to })}`;
  if (
    moved !== 'posterior' &&
    reduction !== 'posterior' &&
    moved !== 'anterior' &&
    reduction !== 'anterior'
  ) {
    const both = moved === 'none' && reduction === 'none';
    const agrees = both ? plan.proposal === null : null;
    return {
      from: null,
      to: null,
      agrees,
      sentence: both
        ? `By the trade's rule of thumb (no published source) nothing was moved or reduced and no stages are ordered; ${agreement(agrees, computed)}.`
        : "The trade's rule of thumb (no published source) needs to know both where teeth were moved and where enamel was reduced.",
    };
  }
  const posterior = moved === 'posterior' || reduction === 'posterior';
  const span = posterior ? terminalSpan(model) : canineSpan(model);
  if (span === null) {
    return {
      from: null,
      to: null,
      agrees: null,
      sentence: `The trade's rule of thumb (no published source) asks for a span from ${posterior ? 'terminal molar to terminal molar' : 'canine to canine'}, which this arch does not have.`,
    };
  }
  const agrees = plan.proposal !== null && plan.proposal.from === span.from && plan.proposal.to === span.to;
  const ruled = spans.find((one) => one.from === span.from && one.to === span.to) ?? null;
  const where = posterior
    ? 'movement or reduction in the posterior teeth asks for terminal molar to terminal molar'
    : 'movement or reduction in the anterior teeth only asks for canine to canine';
  return {
    ...span,
    agrees,
    sentence: `By the trade's rule of thumb (no published source) ${where}, ${words.pair({ toothA: span.from, toothB: span.to })}; ${agreement(agrees, computed)}.${agrees ? '' : whyNot(model, settings, plan, ruled)}`,
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
  const name = words.pair({ toothA: ruled.from, toothB: ruled.to });
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

function agreement(agrees: boolean | null, computed: string): string {
  return agrees ? `${computed} too` : `${computed} instead`;
}

function terminalSpan(model: ArchModel): { from: number; to: number } | null {
  const first = model.teeth[0];
  const last = model.teeth[model.teeth.length - 1];
  if (!first || !last || first.side !== 'right' || last.side !== 'left') return null;
  return { from: first.tooth, to: last.tooth };
}

function canineSpan(model: ArchModel): { from: number; to: number } | null {
  const canine = (side: 'right' | 'left'): number | undefined =>
    model.teeth.find((tooth) => tooth.side === side && tooth.digit === 3)?.tooth;
  const from = canine('right');
  const to = canine('left');
  return from === undefined || to === undefined ? null : { from, to };
}
