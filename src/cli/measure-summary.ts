import { teethNotSaid } from '../contacts/not-clicked.ts';
import type { Analysis } from '../contacts/types.ts';
import { contactsHeadline, contactsRemainder, planHeadline } from '../report/answer-words.ts';
import { describeContact } from '../report/contact-words.ts';
import { scanWarnings } from '../scan/scan-warnings.ts';
import { formatTooth } from '../teeth/notation.ts';
import { sentenceIn } from '../teeth/sentence-in.ts';
import type { NumberingScheme, ToothNumber } from '../teeth/types.ts';
import type { Measured } from './measure-scan-file.ts';
import type { DefaultPlan } from './result-files.ts';

/**
 * What `measure` prints about one arch.
 * @param last - the lines at the end: which files were written where
 */
export function measureSummary(
  { analysis, warnings }: Measured,
  { plan, refusal }: DefaultPlan,
  numbering: NumberingScheme,
  last: readonly string[],
): string {
  const lines = [
    contactsHeadline(analysis, numbering),
    ...contactsRemainder(analysis, numbering),
    ...analysis.contacts
      .filter((contact) => contact.gap !== null)
      .map((contact) => `  ${describeContact(contact, numbering)}`),
    plan ? planHeadline(plan, numbering) : `No closure plan: ${refusal ?? ''}`,
    ...unclickedTeeth(analysis).map((tooth) =>
      analysis.kind === 'crowns'
        ? `Note TOOTH_WITHOUT_CROWN: tooth ${formatTooth(tooth, numbering)} has no crown among those given; its site is taken to be empty.`
        : `Note TOOTH_WITHOUT_CLICK: tooth ${formatTooth(tooth, numbering)} has no click and is not marked missing; its site is taken to be empty.`,
    ),
    ...[...scanWarnings(analysis.health), ...analysis.warnings, ...warnings].map(
      (warning) => `Note ${warning.code}: ${sentenceIn(warning, numbering)}`,
    ),
    ...last,
  ];
  return `${[...new Set(lines)].join('\n')}\n`;
}

function unclickedTeeth(analysis: Analysis): ToothNumber[] {
  return analysis.contacts.flatMap((contact) => teethNotSaid(analysis, contact));
}
