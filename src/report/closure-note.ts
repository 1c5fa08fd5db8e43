import type { ClosurePlan } from '../closure/types.ts';
import type { Analysis } from '../contacts/types.ts';
import type { NumberingScheme } from '../teeth/types.ts';
import { planHeadline } from './answer-words.ts';
import { CAUTIONS } from './cautions.ts';
import { describeContact, pairLabel } from './contact-words.ts';
import { formatMm } from './format-mm.ts';

/** Why shorter spans were passed over belongs into the record, not into an order. */
const SHORTER_SPAN = 'SHORTER_SPAN';

/**
 * The text that goes with an order: what was found, what is proposed and why, what to watch. Plain text, `\n` line
 * ends; says nothing that analysis and plan do not say.
 */
export function writeClosureNote(plan: ClosurePlan, analysis: Analysis, numbering: NumberingScheme): string {
  const lines: string[] = [
    `Closure note, ${analysis.jaw} arch, ${noteSource(analysis)}`,
    '',
    planHeadline(plan, numbering),
    ...plan.reasons.filter(({ code }) => code !== SHORTER_SPAN).map(({ sentence }) => `- ${sentence}`),
    '',
    `Contacts from the patient’s right to left (± is the expanded uncertainty, k = 2; limit ${formatMm(analysis.settings.limitMm)} mm):`,
    ...analysis.contacts.map((contact) => `- ${describeContact(contact, numbering)}`),
  ];
  const after = spacesAfter(plan, numbering);
  if (after.length > 0) lines.push('', 'After the stages, by the model:', ...after);
  lines.push('', plan.commonPractice.sentence, '', 'Please note:');
  for (const caution of CAUTIONS) lines.push(`- ${caution}`);
  return `${lines.join('\n')}\n`;
}

function noteSource(analysis: Analysis): string {
  const [first] = analysis.sources;
  if (analysis.kind === 'crowns') return `${analysis.sources.length} separate crowns`;
  return `scan ${oneLine(first?.fileName ?? 'without a name')}`;
}

/** File names may hold anything; a note is lines of text. */
function oneLine(text: string): string {
  return text.replace(/\p{Cc}+/gu, ' ');
}

/** What the proposed stages leave or open; nothing when there is no proposal. */
function spacesAfter(plan: ClosurePlan, numbering: NumberingScheme): string[] {
  const { proposal, settings } = plan;
  const span = proposal && plan.spans.find(({ from, to }) => from === proposal.from && to === proposal.to);
  if (!span) return [];
  const told = span.contacts.filter(
    (contact) => contact.beforeMm !== null && (contact.beforeMm > settings.limitMm || contact.opened),
  );
  const unseenOpened = span.contacts.filter((contact) => contact.beforeMm === null && contact.opened);
  return [...told, ...unseenOpened].map((contact) => {
    const pair = pairLabel(contact.toothA, contact.toothB, numbering);
    const before = contact.beforeMm === null ? 'not measured' : `${formatMm(contact.beforeMm)} mm`;
    return `- ${pair}: ${before} before, ${formatMm(contact.afterMm)} mm after${contact.opened ? ' (opened by the stages)' : ''}`;
  });
}
