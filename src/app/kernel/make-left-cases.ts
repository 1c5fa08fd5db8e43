import type { HeldCase } from './case-locks.ts';
import { type StoredCase, storedName } from './case-storage.ts';
import type { KeptCase } from './create-files.ts';
import type { Notices } from './create-notices.ts';

/** A state of a case that is still to be written. */
export interface Unsaved {
  readonly id: string;
  readonly kept: KeptCase;
  readonly lock: Promise<HeldCase | null>;
}

/** One of a case that was left, as it is to be written, however late: its stamp is that of the state. */
export interface Left extends Unsaved {
  readonly stored: StoredCase;
}

/** The last states of cases that were left before they were saved, and what is said of them. */
export interface LeftCases {
  all(): readonly Left[];
  of(id: string): readonly Left[];
  has(was: Left): boolean;
  add(was: Left): void;
  /** The device could not keep it: it waits, and is told of. */
  refused(was: Left): void;
  /** Saved, open again or deleted: nothing of it waits any more, and what was said of that is over. */
  settle(was: Left): void;
  /** What another tab went on with, or deleted, is not kept for later. */
  forget(was: Left, why: 'gone on with' | 'deleted'): void;
}

const CLOSED_UNSAVED =
  'was closed, but this device could not keep it. This page still has it: delete cases you no longer need, and it is saved. Until then do not leave this page.';
const FORGOTTEN = {
  'gone on with': 'goes on in another tab; what was last done to it in this one could not be saved.',
  deleted: 'was deleted in another tab, and what was last done to it in this one with it.',
};

export function makeLeftCases({
  tellLasting,
  dismissLasting,
}: Pick<Notices, 'tellLasting' | 'dismissLasting'>): LeftCases {
  const left = new Set<Left>();
  const of = (id: string) => [...left].filter((was) => was.id === id);
  function settle(was: Left): void {
    const name = storedName(was.stored);
    // Another one of the same name that still waits is told of with the same words.
    if (left.delete(was) && ![...left].some(({ stored }) => storedName(stored) === name))
      dismissLasting(`${name} ${CLOSED_UNSAVED}`);
  }
  return {
    all: () => [...left],
    of,
    has: (was) => left.has(was),
    add: (was) => void left.add(was),
    refused(was) {
      // What was left later has all of it, and tells for itself.
      if (of(was.id).some(({ stored }) => stored.savedAt > was.stored.savedAt)) return;
      left.add(was);
      tellLasting(`${storedName(was.stored)} ${CLOSED_UNSAVED}`);
    },
    settle,
    forget(was, why) {
      if (!left.has(was)) return;
      settle(was);
      tellLasting(`${storedName(was.stored)} ${FORGOTTEN[why]}`);
    },
  };
}
