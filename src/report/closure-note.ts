import { asOrdered, proposedSpan } from '../closure/ordered-outcome.ts';
import type { ClosurePlan } from '../closure/types.ts';
import type { Analysis } from '../contacts/types.ts';
import type { NumberingScheme } from '../teeth/types.ts';
import { countWords, firmnessSentence, planHeadline } from './answer-words.ts';
import { CAUTIONS } from './cautions.ts';
import { describeContact, pairLabel } from './contact-words.ts';
import { formatMm } from './format-mm.ts';

/** Why shorter spans were passed over belongs into the record, not into an order. */
const SHORTER_SPAN = 'SHORTER_SPAN';

/** Words of the practice around what the plan says; empty = none. */
export interface NoteWords {
  readonly before: string;
  readonly after: string;
  /** By what the scan is told from the others of its case; absent = by its file name. */
  readonly scanName?: string;
}

/**
 * The text that goes with an order: what was found, what is proposed and why, what to watch. Plain text, `\n` line
 * ends; says nothing that analysis and plan do not say.
 */
export function writeClosureNote(
  plan: ClosurePlan,
  analysis: Analysis,
  numbering: NumberingScheme,
  words: NoteWords = { before: '', after: '' },
): string {
  const own = (text: string): string[] => (text.trim() === '' ? [] : [text.trimEnd(), '']);
  const lines: string[] = [
    ...own(words.before),
    `Closure note, ${analysis.jaw} arch, ${noteSource(analysis, words.scanName)}`,
    '',
    planHeadline(plan, numbering),
    ...plan.reasons.filter(({ code }) => code !== SHORTER_SPAN).map(({ sentence }) => `- ${sentence}`),
    '',
    `Contacts from the patient’s right to left (± is the expanded uncertainty, k = 2; limit ${formatMm(analysis.settings.limitMm)} mm):`,
    ...analysis.contacts.map((contact) => `- ${describeContact(contact, numbering)}`),
  ];
  const after = spacesAfter(plan, numbering);
  if (after.length > 0) lines.push('', 'After the stages, by the model:', ...after);
  const firmness = firmnessSentence(plan);
  if (firmness) lines.push('', firmness);
  lines.push('', plan.commonPractice.sentence, '', 'Please note:');
  for (const caution of CAUTIONS) lines.push(`- ${caution}`);
  if (words.after.trim() !== '') lines.push('', words.after.trimEnd());
  return `${lines.join('\n')}\n`;
}

function noteSource(analysis: Analysis, scanName?: string): string {
  const [first] = analysis.sources;
  if (analysis.kind === 'crowns') return `${analysis.sources.length} separate crowns`;
  return `scan ${oneLine(scanName ?? first?.fileName ?? 'without a name')}`;
}

/** File names may hold anything; a note is lines of text. */
function oneLine(text: string): string {
  return text.replace(/\p{Cc}+/gu, ' ');
}

/** What the proposed stages leave or open; nothing when there is no proposal. */
function spacesAfter(plan: ClosurePlan, numbering: NumberingScheme): string[] {
  const { proposal, settings } = plan;
  const chosen = proposedSpan(plan);
  if (!chosen || !proposal) return [];
  const span = asOrdered(plan, chosen);
  const told = span.contacts.filter(
    (contact) => contact.beforeMm !== null && (contact.beforeMm > settings.limitMm || contact.opened),
  );
  const unseenOpened = span.contacts.filter((contact) => contact.beforeMm === null && contact.opened);
  return [...told, ...unseenOpened].map((contact) => {
    const pair = pairLabel(contact.toothA, contact.toothB, numbering);
    const stages = proposal.stages > 0 ? ` ${countWords(proposal.stages, 'stage')}` : '';
    const opened = contact.opened ? ' (opened by the stages)' : '';
    // Without a number from the scan only the change can be told.
    return contact.beforeMm === null
      ? `- ${pair}: no number from the scan, ${formatMm(contact.afterMm - (contact.countedMm ?? 0))} mm wider after${stages}${opened}`
      : `- ${pair}: ${formatMm(contact.beforeMm)} mm before, ${formatMm(contact.afterMm)} mm after${stages}${opened}`;
  });
}
