import { readStoredCase, type StoredCase } from './case-storage.ts';
import type { TextStore } from './preferences.ts';

/**
 * The last change of a case, written at once while the device still saves: what is clicked a moment before the page
 * goes away (a reload, a crash, a power cut) is there again. Scans are not in it, only their keys.
 */
export interface CaseJournal {
  /** @returns whether it is there now: a long record is not noted, nor is one for which the browser has no room */
  note(stored: StoredCase): boolean;
  /** The change that the device had not saved yet, if there is one newer than `saved`. */
  newerThan(saved: StoredCase): StoredCase | null;
  clear(id: string): void;
}

/** A record larger than this would only slow each click down; it waits for the ordinary save, a moment later. */
const LONGEST_RECORD = 1_000_000;

const keyOf = (id: string) => `archgap.journal.${id}`;

export function makeCaseJournal(store: TextStore): CaseJournal {
  return {
    note(stored) {
      const text = JSON.stringify(stored);
      const isShort = text.length <= LONGEST_RECORD;
      store.set(keyOf(stored.id), isShort ? text : '');
      return isShort && store.get(keyOf(stored.id)) === text;
    },
    newerThan(saved) {
      const noted = parsed(store.get(keyOf(saved.id)));
      return noted?.id === saved.id && noted.savedAt > saved.savedAt ? noted : null;
    },
    clear: (id) => store.set(keyOf(id), ''),
  };
}

function parsed(text: string | null): StoredCase | null {
  if (!text) return null;
  try {
    return readStoredCase(JSON.parse(text));
  } catch {
    // Cut short by whatever ended the page: the saved case stands.
    return null;
  }
}
