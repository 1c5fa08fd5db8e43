import { type Contact, type ContactStatus, NOTE_CODES, type NoteCode } from '../contacts/types.ts';
import { formatTooth } from '../teeth/notation.ts';
import type { NumberingScheme, ToothNumber } from '../teeth/types.ts';
import { formatGap, formatMm } from './format-mm.ts';

/** The word for a status on screen and paper. */
export const STATUS_WORDS: Readonly<Record<ContactStatus, string>> = {
  open: 'open',
  undecided: 'undecided',
  closed: 'closed',
  bridged: 'bridged',
  overlap: 'overlap',
  'missing-tooth': 'missing tooth',
  'not-measurable': 'not measurable',
};

/** The word for what became of one contact: a tooth that nobody clicked is not called missing. */
export function statusWords({ status, notes }: Pick<Contact, 'status' | 'notes'>): string {
  return isNotClicked({ notes }) ? 'not clicked' : STATUS_WORDS[status];
}

/** Whether a tooth between the two was neither clicked nor marked missing. */
export function isNotClicked({ notes }: Pick<Contact, 'notes'>): boolean {
  const code: NoteCode = 'not-clicked';
  return notes.includes(code);
}

/** A contact by its two teeth in arch order: `13-12`. */
export function pairLabel(toothA: ToothNumber, toothB: ToothNumber, numbering: NumberingScheme): string {
  return `${formatTooth(toothA, numbering)}-${formatTooth(toothB, numbering)}`;
}

/** What the short codes in a contact's notes mean. */
const NOTE_WORDS: Readonly<Record<NoteCode, string>> = {
  angle: 'the shortest line across lies at more than 15° to the arch',
  partial: 'part of the contact is bridged; measured at the free place',
  fallback: 'little of the walls was free: measured with another window or a simpler fit than usual',
  'near-gum': 'the closest place lies at the gum; the space may be smaller below it',
  'near-edge': 'the closest place lies at the border of what is seen',
  'not-seen': 'the closest place lies where a wall is not seen',
  coarse: 'the triangles are too large for a trustworthy space',
  rough: 'the walls are too rough for a trustworthy space',
  uncertain: 'the walls here do not settle the space well enough',
  'one-sided': 'at least one of the two walls was not seen',
  'not-found': 'one of the two teeth has no surface of its own',
  'low-web':
    'the teeth meet along a low border that may be a web of the scanner; what lies above it is not known',
  torn: 'the surface of the scan is torn apart between the two teeth; export it in one piece',
  'labels-cross': 'the border between the two teeth cuts across a crown; check the clicks of both',
  spike: 'something in the space comes nearer than the walls: a speck, a thread, or noise',
  'closes-in':
    'the walls still come nearer to each other where the view of them ends; the space may be smaller below it',
  'bound-scanner':
    'no free rim beside the web shows how wide it can be; the bound is only what scanners are not known to bridge',
  'no-bound': 'nothing that is seen says how large the space can be at most',
  'depth-unknown': 'the crowns cross each other; how deep is not known',
  'not-clicked':
    'a tooth between the two has no click and is not marked missing; click it, or mark it missing',
};

function isNoteCode(code: string): code is NoteCode {
  return NOTE_CODES.some((known) => known === code);
}

/** A note code in words; an unknown code stays as it is. */
export function noteWords(code: string): string {
  return isNoteCode(code) ? NOTE_WORDS[code] : code;
}

/** What can be said about a contact's space in a few words: `0.31 ± 0.06 mm`, `0 to 0.27 mm could hide here`. */
export function spaceWords(contact: Contact): string {
  if (contact.gap !== null) return formatGap(contact.gap);
  if (contact.upperBoundMm === null)
    return contact.status === 'missing-tooth' && !isNotClicked(contact) ? 'no tooth between' : 'no number';
  const bound = formatMm(contact.upperBoundMm);
  return contact.bridge === 'none' ? `at most ${bound} mm` : `0 to ${bound} mm could hide here`;
}

/** One contact as a short line: `13-12 open, 0.31 ± 0.06 mm`. */
export function describeContact(contact: Contact, numbering: NumberingScheme): string {
  const pair = pairLabel(contact.toothA, contact.toothB, numbering);
  return `${pair} ${statusWords(contact)}, ${spaceWords(contact)}`;
}

/** `13-12`, `13-12 and 11-21`, `13-12, 11-21 and 23-24`. */
export function listWords(items: readonly string[]): string {
  if (items.length <= 1) return items[0] ?? '';
  return `${items.slice(0, -1).join(', ')} and ${items[items.length - 1]}`;
}
