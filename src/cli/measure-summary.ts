import type { Analysis } from '../contacts/types.ts';
import { contactsHeadline, contactsRemainder, planHeadline } from '../report/answer-words.ts';
import { describeContact } from '../report/contact-words.ts';
import { archOrder, formatTooth } from '../teeth/notation.ts';
import type { NumberingScheme, ToothNumber, ToothWarning } from '../teeth/types.ts';
import type { Measured } from './measure-scan-file.ts';
import type { DefaultPlan } from './result-files.ts';

/**
 * What `measure` prints about one arch.
 * @param wrote - the line that says which files were written where
 */
export function measureSummary(
  { analysis, warnings }: Measured,
  { plan, refusal }: DefaultPlan,
  numbering: NumberingScheme,
  wrote: string,
): string {
  const lines = [
    contactsHeadline(analysis, numbering),
    ...contactsRemainder(analysis, numbering),
    ...analysis.contacts
      .filter((contact) => contact.gap !== null)
      .map((contact) => `  ${describeContact(contact, numbering)}`),
    plan ? planHeadline(plan, numbering) : `No closure plan: ${refusal ?? ''}`,
    ...unclickedTeeth(analysis).map(
      (tooth) =>
        `Note TOOTH_WITHOUT_CLICK: tooth ${formatTooth(tooth, numbering)} has no click and is not marked missing; its site is taken to be empty.`,
    ),
    ...[...scanWarnings(analysis), ...analysis.warnings, ...warnings].map(
      ({ code, sentence }) => `Note ${code}: ${sentence}`,
    ),
    wrote,
  ];
  return `${[...new Set(lines)].join('\n')}\n`;
}

/** What the checks of the scan found that bears on the measurement; of separate crowns it is among the warnings. */
function scanWarnings({ health }: Analysis): readonly ToothWarningText[] {
  return health?.findings.filter(({ severity }) => severity === 'warning') ?? [];
}

type ToothWarningText = Pick<ToothWarning, 'code' | 'sentence'>;

/** Teeth between two neighbours that nobody clicked or called missing. */
function unclickedTeeth(analysis: Analysis): ToothNumber[] {
  const order = archOrder(analysis.jaw);
  return analysis.contacts
    .flatMap(({ toothA, toothB }) => order.slice(order.indexOf(toothA) + 1, order.indexOf(toothB)))
    .filter((tooth) => !analysis.missing.includes(tooth));
}
