import type { CaseLocks, HeldCase } from './case-locks.ts';

/** The lock of the one case that this tab works on. */
export interface CaseHold {
  /**
   * Takes the lock of a case and gives the former one back, once what is being saved is saved; resolves to null when
   * another tab has it, rejects where the browser fails to answer.
   */
  take(id: string | null): Promise<HeldCase | null>;
  /**
   * Works on a case of which this tab has the lock already; where `open` resolves to false, the former case is held
   * on to and the new lock given back.
   */
  change(id: string, lock: HeldCase, open: () => Promise<boolean>): Promise<void>;
  /** The lock was taken by force; there is nothing to give back. */
  forget(): void;
  /** Resolves when every lock that was to be given back is given back. */
  released(): Promise<void>;
}

/** @param saved resolves when everything that is to be saved by now is saved */
export function makeCaseHold(locks: CaseLocks, saved: () => Promise<void>): CaseHold {
  let held: { readonly id: string; readonly lock: Promise<HeldCase | null> } | null = null;
  let released: Promise<void> = Promise.resolve();
  const release = (one: typeof held) => {
    if (one === null) return;
    // A lock that was never given has nothing to release.
    const given = one.lock.catch(() => null);
    released = Promise.all([given, saved(), released]).then(([lock]) => lock?.release());
  };
  return {
    take(id) {
      if (held?.id === id) return held.lock;
      release(held);
      held = null;
      if (id === null) return released.then(() => null);
      const mine = { id, lock: locks.take(id) };
      held = mine;
      // A refusal of the browser is asked about again, not kept.
      mine.lock.catch(() => {
        if (held === mine) held = null;
      });
      return mine.lock;
    },
    async change(id, lock, open) {
      const former = held;
      held = { id, lock: Promise.resolve(lock) };
      if (await open()) release(former);
      else {
        held = former;
        lock.release();
      }
    },
    forget() {
      held = null;
    },
    released: () => released,
  };
}
