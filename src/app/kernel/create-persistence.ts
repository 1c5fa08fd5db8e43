import { type Accessor, createEffect, createSignal, on, onCleanup } from 'solid-js';
import { makeCaseJournal } from './case-journal.ts';
import { type CaseLocks, type HeldCase, NO_LOCKS } from './case-locks.ts';
import { type CaseStorage, type StoredCase, storedName } from './case-storage.ts';
import type { CaseController } from './create-case.ts';
import { makeCaseHold } from './make-case-hold.ts';
import { makeCaseRecords } from './make-case-records.ts';
import type { TextStore } from './preferences.ts';

/** `elsewhere`: another tab has the case, so this one does not save it. */
type SaveState = 'nothing' | 'saving' | 'saved' | 'full' | 'failed' | 'elsewhere';

/** Keeps the open case on the device as it changes, and brings it back. */
export interface Persistence {
  readonly state: Accessor<SaveState>;
  /** All cases on the device, newest first. */
  readonly cases: Accessor<readonly StoredCase[]>;
  /** Cases on the device that this version cannot read; they are left alone. */
  readonly unreadable: Accessor<number>;
  /** The case that was asked for and that another tab has; null = none. */
  readonly elsewhere: Accessor<StoredCase | null>;
  /** Opens that case here; the other tab saves and closes it. Or leaves it there. */
  takeOver(): Promise<void>;
  leaveElsewhere(): void;
  /** Opens what was open when the page was last left. */
  restoreLast(): Promise<void>;
  openStored(stored: StoredCase): Promise<void>;
  /** Deletes a case from the device, closing it when it is open. */
  remove(id: string): Promise<void>;
  /** Saves at once what still waits. */
  flush(): Promise<void>;
  /** Something of the open case would be gone with the page. */
  isAtRisk(): boolean;
}

export interface PersistenceSources {
  readonly storage: CaseStorage;
  readonly marks: TextStore;
  /** Marks of this tab alone; left out: as `marks`. */
  readonly tabMarks?: TextStore;
  readonly controller: CaseController;
  readonly now: () => Date;
  readonly locks?: CaseLocks;
  readonly newKey?: () => string;
}

/** Browsers name it so whatever realm the error comes from. */
function isQuotaFault(fault: unknown): boolean {
  return (
    typeof fault === 'object' && fault !== null && 'name' in fault && fault.name === 'QuotaExceededError'
  );
}

/** Rest after a change before it is written, ms; the journal has it meanwhile. */
const SAVE_REST_MS = 200;
const OPEN_CASE_MARK = 'archgap.open-case';

const NO_ROOM =
  'There is no room left on this device, so the case is no longer saved here; it is safe as long as this page stays open. Delete cases you no longer need, or save this one as a file (under Scan).';
const TAKEN =
  'This case was opened in another tab and goes on there, with everything that was done here; it was closed in this one.';

export function createPersistence({
  storage,
  marks,
  tabMarks = marks,
  controller,
  now,
  locks = NO_LOCKS,
  newKey = () => crypto.randomUUID(),
}: PersistenceSources): Persistence {
  const [state, setState] = createSignal<SaveState>('nothing');
  const [cases, setCases] = createSignal<readonly StoredCase[]>([]);
  const [unreadable, setUnreadable] = createSignal(0);
  const [elsewhere, setElsewhere] = createSignal<StoredCase | null>(null);
  const journal = makeCaseJournal(marks);
  const records = makeCaseRecords(storage, newKey, now);
  const hold = makeCaseHold(locks);
  let waiting = false;
  let saving: Promise<void> = Promise.resolve();

  async function list(): Promise<void> {
    const found = await storage.list();
    setCases(found.cases);
    setUnreadable(found.unreadable);
  }

  async function save(): Promise<void> {
    waiting = false;
    const open = controller.open();
    const kept = controller.kept();
    if (!open || !kept) return;
    const { id } = open;
    try {
      if ((await hold.take(id)) === null) {
        if (controller.open()?.id === id) setState('elsewhere');
        return;
      }
      const stored = records.recordOf(id, kept);
      await storage.save(stored, records.unsavedScans(id, kept));
      records.isSaved(stored);
      if (!waiting) {
        journal.clear(id);
        if (controller.open()?.id === id) setState('saved');
      }
      await list();
    } catch (fault) {
      const full = isQuotaFault(fault);
      if (full && state() !== 'full') controller.tell(NO_ROOM, 'failed');
      setState(full ? 'full' : 'failed');
    }
  }

  /** One save after the other: an older record never overtakes a newer one. */
  function saveInTurn(): Promise<void> {
    saving = saving.then(save).catch(() => void setState('failed'));
    return saving;
  }

  function flush(): Promise<void> {
    return waiting ? saveInTurn() : saving;
  }

  createEffect(
    on([controller.open, controller.inputs, controller.other, controller.earlier], ([open]) => {
      if (!open) {
        waiting = false;
        void hold.take(null);
        return setState('nothing');
      }
      // The save tells when that fails.
      hold.take(open.id).catch(() => {});
      if (state() !== 'full' && state() !== 'elsewhere') setState('saving');
      const kept = controller.kept();
      if (!kept) return;
      waiting = true;
      const onDevice = records.unsavedScans(open.id, kept).size === 0;
      if (onDevice && state() !== 'elsewhere') journal.note(records.recordOf(open.id, kept));
      // The journal has no scans: one that is new goes to the device at once.
      const timer = setTimeout(flush, onDevice ? SAVE_REST_MS : 0);
      onCleanup(() => clearTimeout(timer));
    }),
  );
  createEffect(
    on(
      controller.open,
      (open) => {
        for (const store of [marks, tabMarks]) store.set(OPEN_CASE_MARK, open?.id ?? '');
      },
      { defer: true },
    ),
  );

  locks.onAsked(async (id) => {
    if (controller.open()?.id !== id) return;
    await flush();
    controller.closeCase();
    await hold.take(null);
    controller.tell(TAKEN);
  });
  locks.onLost((id) => {
    if (controller.open()?.id !== id) return;
    hold.forget();
    controller.closeCase();
    controller.tell(TAKEN);
  });

  async function openStored(stored: StoredCase): Promise<void> {
    await flush();
    setElsewhere(null);
    const lock = await locks.take(stored.id);
    if (lock === null && controller.open()?.id !== stored.id) {
      setElsewhere(stored);
      return;
    }
    if (lock) await openHeld(stored.id, lock);
  }

  /** Opens a case of which this tab has the lock, as it lies on the device now. */
  async function openHeld(id: string, lock: HeldCase): Promise<void> {
    await list();
    const stored = cases().find((one) => one.id === id);
    if (!stored) return lock.release();
    const kept =
      (await caseOf(journal.newerThan(stored)).catch(() => null)) ?? (await caseOf(stored).catch(() => null));
    if (!kept) {
      lock.release();
      controller.tell(
        `The scan of ${storedName(stored)} is no longer on this device; open the file again.`,
        'failed',
      );
      return;
    }
    await hold.change(id, lock, async () => {
      await controller.restore(id, kept);
      return controller.open()?.id === id;
    });
  }

  const caseOf = async (stored: StoredCase | null) => (stored ? records.caseOf(stored) : null);

  return {
    state,
    cases,
    unreadable,
    elsewhere,
    flush,
    isAtRisk() {
      const kept = controller.kept();
      const id = controller.open()?.id;
      if (!kept || id === undefined) return false;
      if (state() === 'elsewhere') return controller.canUndo();
      return state() === 'full' || state() === 'failed' || records.unsavedScans(id, kept).size > 0;
    },
    openStored,
    leaveElsewhere: () => setElsewhere(null),
    async takeOver() {
      const stored = elsewhere();
      if (!stored) return;
      setElsewhere(null);
      const lock = await locks.takeOver(stored.id);
      if (lock) await openHeld(stored.id, lock);
      else setElsewhere(stored);
    },
    async restoreLast() {
      const last = tabMarks.get(OPEN_CASE_MARK) || marks.get(OPEN_CASE_MARK);
      try {
        await list();
      } catch {
        setState('failed');
        return;
      }
      const stored = cases().find((one) => one.id === last);
      if (stored) await openStored(stored);
    },
    async remove(id) {
      await saving;
      if (controller.open()?.id === id) controller.closeCase();
      else {
        const lock = await locks.take(id);
        if (lock === null) {
          controller.tell('This case is open in another tab; close it there before you delete it.', 'failed');
          return;
        }
        lock.release();
      }
      waiting = false;
      await saving;
      journal.clear(id);
      await storage.remove(id);
      await list();
      if (state() === 'full') await saveInTurn();
    },
  };
}
