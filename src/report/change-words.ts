import type { ChangeClass, ChangeNote, ContactChange, PlanStanding } from '../contacts/compare-contacts.ts';
import type { Difference } from '../contacts/types.ts';
import type { NumberingScheme } from '../teeth/types.ts';
import { countWords } from './answer-words.ts';
import { listWords, pairLabel, STATUS_WORDS, spaceWords } from './contact-words.ts';
import { formatMm, formatSignedMm, formatU95 } from './format-mm.ts';

/** The word for what became of a contact, on screen and paper. */
const CHANGE_WORDS: Readonly<Record<ChangeClass, string>> = {
  closed: 'closed',
  'to-check': 'may be closed, check with floss',
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
  possible: 'hidden; may be as planned',
};

/** `closed as planned`, `partly closed, short of the plan`; the class alone where no plan speaks of the contact. */
export function changeWords({ kind, plan }: ContactChange): string {
  const standing = plan?.standing ?? null;
  if (standing === null) return CHANGE_WORDS[kind];
  if (standing === 'as-planned' && (kind === 'closed' || kind === 'partly-closed')) {
    return `${CHANGE_WORDS[kind]} as planned`;
  }
  return `${CHANGE_WORDS[kind]}; ${STANDING_WORDS[standing]}`;
}

/** A change with its interval and sign: `-0.26 ± 0.05 mm`. */
export function formatDifference({ valueMm, u95Mm }: Difference): string {
  return `${formatSignedMm(valueMm)} ± ${formatU95(u95Mm)} mm`;
}

/** One contact in a line: `13-12 partly closed, open 0.35 ± 0.03 mm before, open 0.12 ± 0.03 mm now, -0.23 ± 0.04 mm`. */
export function describeChange(change: ContactChange, numbering: NumberingScheme): string {
  const { toothA, toothB, before, after } = change;
  const state = (contact: ContactChange['before'], when: string): string =>
    contact === null
      ? `no such pair ${when}`
      : `${STATUS_WORDS[contact.status]} ${spaceWords(contact)} ${when}`;
  const parts = [
    `${pairLabel(toothA, toothB, numbering)} ${changeWords(change)}`,
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
    if (found.length === 0) return [];
    const pairs = found.map(({ toothA, toothB }) => pairLabel(toothA, toothB, numbering));
    return [`${listWords(pairs)} ${CHANGE_WORDS[kind]}`];
  });
  const opened =
    wereOpen === 0 ? 'No contact was open before' : `${countWords(wereOpen, 'contact')} open before`;
  return `${opened}${parts.length > 0 ? `: ${parts.join('; ')}.` : '; no change was seen.'}`;
}
