import { archOrder } from '../teeth/notation.ts';
import type { Jaw, ToothNumber } from '../teeth/types.ts';
import type { Analysis, Contact, NoteCode } from './types.ts';

/** A site that is taken to be empty although nobody called its tooth missing. */
const NOT_CLICKED: NoteCode = 'not-clicked';

/**
 * Teeth between two neighbours that nobody clicked or called missing; of separate crowns, those without a crown.
 * Their site counts as empty, which is a guess and has to be said wherever it is used.
 */
export function teethNotSaid(
  { jaw, missing }: Pick<Analysis, 'jaw' | 'missing'>,
  { toothA, toothB }: Pick<Contact, 'toothA' | 'toothB'>,
): ToothNumber[] {
  const order = archOrder(jaw);
  return order
    .slice(order.indexOf(toothA) + 1, order.indexOf(toothB))
    .filter((tooth) => !missing.includes(tooth));
}

/** The contacts of a clicked scan, those over a tooth that was not clicked with the note `not-clicked`, once. */
export function noteNotClicked(
  contacts: readonly Contact[],
  jaw: Jaw,
  missing: readonly ToothNumber[],
): Contact[] {
  return contacts.map((contact) =>
    contact.notes.includes(NOT_CLICKED) || teethNotSaid({ jaw, missing }, contact).length === 0
      ? contact
      : { ...contact, notes: [...contact.notes, NOT_CLICKED] },
  );
}
