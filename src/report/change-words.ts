import type { ChangeClass, ChangeNote, ContactChange, PlanStanding } from '../contacts/compare-contacts.ts';
import type { Difference } from '../contacts/types.ts';
import type { NumberingScheme } from '../teeth/types.ts';
import { countWords } from './answer-words.ts';
import { listWords, pairLabel, spaceWords, statusWords } from './contact-words.ts';
import { formatMm, formatSignedMm, formatU95 } from './format-mm.ts';

/** The words for what became of a contact, on screen and paper; `to-check` has the word of the new scan before it. */
const CHANGE_WORDS: Readonly<Record<ChangeClass, string>> = {
  closed: 'closed',
  'to-check': 'now, check with floss',
  'partly-closed': 'partly closed',
  'not-closed': 'not closed',
  wider: 'wider',
  'newly-open': 'newly open',
  narrower: 'narrower',
  unchanged: 'no change seen',
  'not-comparable': 'not comparable',
};

export const CHANGE_NOTE_WORDS: Readonly<Record<ChangeNote, string>> = {
  'may-have-been-hidden': 'may have been as wide before: the earlier scan did not show the walls there',
  'walls-changed':
    'space and crowns changed by different amounts: a wall was ground, built up or scanned wrongly',
};

const STANDING_WORDS: Readonly<Record<PlanStanding, string>> = {
  'as-planned': 'as planned',
  'short-of-plan': 'short of the plan',
  'beyond-plan': 'beyond the plan',
  possible: 'could be as planned',
};

/**
 * What became of a contact: `partly closed`, or where the new scan does not settle it, its own word for the contact:
 * `undecided now, check with floss`.
 */
export function changeWords({ kind, after }: Pick<ContactChange, 'kind' | 'after'>): string {
  return kind === 'to-check' && after ? `${statusWords(after)} ${CHANGE_WORDS[kind]}` : CHANGE_WORDS[kind];
}

/** Where the contact stands against the plan: `short of the plan`; null where no plan speaks of it. */
export function standingWords({ plan }: Pick<ContactChange, 'plan'>): string | null {
  return plan?.standing ? STANDING_WORDS[plan.standing] : null;
}

/** A change with its interval and sign: `−0.26 ± 0.05 mm`. */
export function formatDifference({ valueMm, u95Mm }: Difference): string {
  return `${formatSignedMm(valueMm)} ± ${formatU95(u95Mm)} mm`;
}

/** One contact in a line: `13-12 partly closed, short of the plan, open 0.35 ± 0.03 mm before, open 0.12 ± 0.03 mm now, change −0.23 ± 0.04 mm`. */
export function describeChange(change: ContactChange, numbering: NumberingScheme): string {
  const { toothA, toothB, before, after } = change;
  const state = (contact: ContactChange['before'], when: string): string =>
    contact === null ? `no such pair ${when}` : `${statusWords(contact)} ${spaceWords(contact)} ${when}`;
  const standing = standingWords(change);
  const parts = [
    `${pairLabel(toothA, toothB, numbering)} ${changeWords(change)}`,
    ...(standing ? [standing] : []),
    state(before, 'before'),
    state(after, 'now'),
  ];
  if (change.change) parts.push(`change ${formatDifference(change.change)}`);
  if (change.approach) parts.push(`crowns moved ${formatDifference(change.approach)}`);
  if (change.carried) parts.push(carriedWords(change.carried));
  return `${parts.join(', ')}${change.notes.map((note) => `; ${CHANGE_NOTE_WORDS[note]}`).join('')}`;
}

/** What the walls of one scan say about the other. */
export function carriedWords({ scan, space }: NonNullable<ContactChange['carried']>): string {
  const walls = scan === 'new' ? 'earlier' : 'new';
  return `by the ${walls} walls ${formatMm(space.valueMm)} ± ${formatU95(space.u95Mm)} mm ${scan === 'new' ? 'now' : 'before'}`;
}

/** Classes that a reader wants to hear of, in this order. */
const TOLD: readonly ChangeClass[] = [
  'closed',
  'partly-closed',
  'to-check',
  'not-closed',
  'wider',
  'newly-open',
  'narrower',
];

/** The comparison in one sentence. */
export function changesHeadline(changes: readonly ContactChange[], numbering: NumberingScheme): string {
  const wereOpen = changes.filter(({ before }) => before?.status === 'open').length;
  const parts = TOLD.flatMap((kind) => {
    const found = changes.filter((change) => change.kind === kind);
    return [...new Set(found.map(changeWords))].map((words) => {
      const pairs = found
        .filter((change) => changeWords(change) === words)
        .map(({ toothA, toothB }) => pairLabel(toothA, toothB, numbering));
      return `${listWords(pairs)} ${words}`;
    });
  });
  const opened =
    wereOpen === 0 ? 'No contact was open before' : `${countWords(wereOpen, 'contact')} open before`;
  return `${opened}${parts.length > 0 ? `: ${parts.join('; ')}.` : '; no change was seen.'}`;
}
