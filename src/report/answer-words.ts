import { proposedSpan } from '../closure/ordered-outcome.ts';
import { CLOSES_WHAT_IS_SEEN, type ClosurePlan, type SpanVerdict } from '../closure/types.ts';
import type { Analysis, Contact } from '../contacts/types.ts';
import { formatTooth } from '../teeth/notation.ts';
import type { NumberingScheme, ToothNumber } from '../teeth/types.ts';
import { isNotClicked, listWords, pairLabel } from './contact-words.ts';
import { formatMm } from './format-mm.ts';

/** A span by its two ends: `17 to 27`. */
export function spanWords(from: ToothNumber, to: ToothNumber, numbering: NumberingScheme): string {
  return `${formatTooth(from, numbering)} to ${formatTooth(to, numbering)}`;
}

/** `1 stage`, `3 stages`. */
export function countWords(count: number, one: string, many = `${one}s`): string {
  return `${count} ${count === 1 ? one : many}`;
}

/** What a span comes to, in a few words for a table. */
export const VERDICT_WORDS: Readonly<Record<SpanVerdict, string>> = {
  'closes-all': 'closes all',
  'leaves-open': 'leaves spaces',
  'opens-others': 'opens others',
  'too-many-stages': 'too many stages',
  infeasible: 'not possible',
  'nothing-to-close': 'nothing to close',
};

/** The answer about the contacts in one sentence. */
export function contactsHeadline(analysis: Analysis, numbering: NumberingScheme): string {
  const pairs = pairsWith(analysis.contacts, numbering);
  const sites = analysis.contacts.filter((contact) => contact.status !== 'missing-tooth').length;
  const open = pairs('open');
  if (sites === 0) return 'There is no contact between neighbouring teeth to measure.';
  if (open.length === 0)
    return sites === 1
      ? 'The one contact is not measured open.'
      : `None of the ${sites} contacts is measured open.`;
  const verb = open.length === 1 ? 'is' : 'are';
  return `${open.length} of ${countWords(sites, 'contact')} ${verb} open: ${listWords(open)}.`;
}

/** What the headline leaves unsaid: undecided, bridged, overlapping, not measurable, missing. One sentence each. */
export function contactsRemainder(analysis: Analysis, numbering: NumberingScheme): string[] {
  const pairs = pairsWith(analysis.contacts, numbering);
  const sentences: string[] = [];
  const say = (found: readonly string[], one: string, many: string) => {
    if (found.length > 0) sentences.push(`${listWords(found)} ${found.length === 1 ? one : many}.`);
  };
  const limit = formatMm(analysis.settings.limitMm);
  say(
    pairs('undecided'),
    `is undecided: its interval spans the limit of ${limit} mm`,
    `are undecided: their intervals span the limit of ${limit} mm`,
  );
  say(
    pairs('bridged'),
    'is bridged: the scan runs across, so its space can’t be seen',
    'are bridged: the scan runs across, so their spaces can’t be seen',
  );
  say(pairs('not-measurable'), 'can’t be measured on this scan', 'can’t be measured on this scan');
  say(pairs('overlap'), 'overlaps', 'overlap');
  say(pairs('closed'), 'is closed', 'are closed');
  const sites = analysis.contacts.filter((contact) => contact.status === 'missing-tooth');
  say(
    pairsWith(
      sites.filter((contact) => !isNotClicked(contact)),
      numbering,
    )('missing-tooth'),
    'is the site of a missing tooth, not a contact',
    'are sites of missing teeth, not contacts',
  );
  say(
    pairsWith(sites.filter(isNotClicked), numbering)('missing-tooth'),
    'reaches over a tooth that has no click and is not marked missing: click it, or mark it missing',
    'reach over teeth that have no click and are not marked missing: click them, or mark them missing',
  );
  return sentences;
}

function pairsWith(contacts: readonly Contact[], numbering: NumberingScheme) {
  return (status: Contact['status']) =>
    contacts
      .filter((contact) => contact.status === status)
      .map((contact) => pairLabel(contact.toothA, contact.toothB, numbering));
}

/** The planner's answer in one sentence. */
export function planHeadline(plan: ClosurePlan, numbering: NumberingScheme): string {
  const { proposal } = plan;
  const offer = proposal
    ? `${countWords(proposal.stages, 'tightening stage')} over the span ${spanWords(proposal.from, proposal.to, numbering)}`
    : null;
  switch (plan.answer) {
    case 'tighten':
      return `Proposed: ${offer ?? 'tightening stages'}.`;
    case 'not-enough':
      if (offer && plan.reasons.some(({ code }) => code === CLOSES_WHAT_IS_SEEN)) {
        return `${capitalised(offer)} would close what was measured; what stands beyond it was not seen.`;
      }
      if (offer && isAtLimit(plan)) return `${capitalised(offer)} would leave a space at the limit.`;
      return offer
        ? `${capitalised(offer)} would help, but would not close every space.`
        : 'Tightening stages would help, but would not close every space.';
    case 'none-needed':
      return 'No tightening stages are needed.';
    case 'floss-first':
      return 'Check with floss first; no stages are proposed yet.';
    case 'new-plan':
      return `A new plan is needed: closing these spaces takes more than ${countWords(plan.settings.maxStages, 'tightening stage')}.`;
    case 'not-by-tightening':
      return 'These spaces can’t be closed by tightening.';
  }
}

/** The most stages are proposed over a span whose whole motion needs more: what they leave lies at the limit. */
function isAtLimit(plan: ClosurePlan): boolean {
  return proposedSpan(plan)?.verdict === 'too-many-stages';
}

function capitalised(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/**
 * How firm the proposal is, in one sentence; null without draws, and where nothing is proposed until floss has spoken:
 * spaces that were not seen have no interval to draw from, so "stays the same" would promise what nobody looked at.
 */
export function firmnessSentence({ answer, sensitivity }: ClosurePlan): string | null {
  if (!sensitivity || (answer === 'floss-first' && sensitivity.verdict === 'robust')) return null;
  return sensitivity.sentence;
}
