import type { Contact } from '../../contacts/types.ts';
import { spaceWords, statusWords } from '../../report/contact-words.ts';
import { toothSortIndex } from '../../teeth/notation.ts';
import type { ToothNumber } from '../../teeth/types.ts';
import type { HistoryEntry } from './create-follow-up.ts';
import { contactKey } from './display-types.ts';

/** A contact on one scan of a course. */
interface CoursePlace {
  /** Best estimate, mm; null where the scan gives none. */
  readonly valueMm: number | null;
  /** Ends of its interval, or 0 and the bound where only that is known, mm; null where the scan says nothing. */
  readonly lowMm: number | null;
  readonly highMm: number | null;
}

/** One contact over all scans of a case. */
export interface ContactCourse {
  readonly toothA: ToothNumber;
  readonly toothB: ToothNumber;
  /** One per scan, oldest first. */
  readonly places: readonly CoursePlace[];
  /** The same in words. */
  readonly words: string;
}

/** Every pair of any of the scans, in arch order. */
export function contactCourses(history: readonly HistoryEntry[]): ContactCourse[] {
  const pairs = new Map<string, Contact>();
  for (const { analysis } of history)
    for (const contact of analysis?.contacts ?? []) {
      const key = contactKey(contact);
      if (!pairs.has(key)) pairs.set(key, contact);
    }
  const inOrder = [...pairs].sort(
    ([, a], [, b]) =>
      toothSortIndex(a.toothA) - toothSortIndex(b.toothA) ||
      toothSortIndex(a.toothB) - toothSortIndex(b.toothB),
  );
  return inOrder.map(([key, { toothA, toothB }]) => {
    const found = history.map(
      ({ analysis }) => analysis?.contacts.find((contact) => contactKey(contact) === key) ?? null,
    );
    const words = history.map(({ label, analysis }, k) => {
      const what = analysis === null ? 'not measured' : wordsOf(found[k] ?? null);
      return `${label} ${what}`;
    });
    return { toothA, toothB, places: found.map(placeOf), words: words.join(', ') };
  });
}

function placeOf(contact: Contact | null): CoursePlace {
  const gap = contact?.gap ?? null;
  if (gap) return { valueMm: gap.valueMm, lowMm: gap.valueMm - gap.u95Mm, highMm: gap.valueMm + gap.u95Mm };
  const bound = contact?.upperBoundMm ?? null;
  return bound === null
    ? { valueMm: null, lowMm: null, highMm: null }
    : { valueMm: null, lowMm: 0, highMm: bound };
}

function wordsOf(contact: Contact | null): string {
  return contact === null ? 'no such pair' : `${statusWords(contact)} ${spaceWords(contact)}`.trim();
}
