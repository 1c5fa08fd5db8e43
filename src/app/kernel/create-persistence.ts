import { type Accessor, createEffect, createSignal, on, onCleanup } from 'solid-js';
import type { CaseArch, CaseContent } from '../../casefile/types.ts';
import { makeCaseJournal } from './case-journal.ts';
import { type CaseLocks, type HeldCase, NO_LOCKS } from './case-locks.ts';
import { type CaseStorage, type StoredArch, type StoredCase, storedName } from './case-storage.ts';
import type { CaseController } from './create-case.ts';
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
  /** Under which key, and for which case, the bytes of a scan lie on the device. */
  const keys = new WeakMap<
    Uint8Array,
    { readonly id: string; readonly key: string; readonly saved: boolean }
  >();
  let held: { readonly id: string; readonly lock: Promise<HeldCase | null> } | null = null;
  let waiting = false;
  let saving: Promise<void> = Promise.resolve();
  let lastStamp = 0;

  async function list(): Promise<void> {
    const found = await storage.list();
    setCases(found.cases);
    setUnreadable(found.unreadable);
  }

  /** Later than every stamp before, even where the clock stands still or was set back. */
  const stamp = () => {
    lastStamp = Math.max(now().getTime(), lastStamp + 1);
    return lastStamp;
  };

  const keyFor = (id: string, bytes: Uint8Array) => {
    const known = keys.get(bytes);
    if (known?.id === id) return known;
    const made = { id, key: newKey(), saved: false };
    keys.set(bytes, made);
    return made;
  };

  function recordOf(id: string, { demo, arches: [first, second] }: CaseContent): StoredCase {
    const stored = ({ bytes, ...rest }: CaseArch): StoredArch => ({
      ...rest,
      scanKey: keyFor(id, bytes).key,
    });
    return {
      version: 2,
      id,
      demo,
      arches: second ? [stored(first), stored(second)] : [stored(first)],
      savedAt: stamp(),
    };
  }

  /** Takes the lock of the open case and gives the former one back. */
  function hold(id: string | null): Promise<HeldCase | null> {
    if (held?.id === id) return held.lock;
    void held?.lock.then((lock) => lock?.release());
    held = id === null ? null : { id, lock: locks.take(id) };
    return held?.lock ?? Promise.resolve(null);
  }

  async function save(): Promise<void> {
    waiting = false;
    const open = controller.open();
    const content = controller.content();
    if (!open || !content) return;
    const { id } = open;
    if ((await hold(id)) === null) {
      if (controller.open()?.id === id) setState('elsewhere');
      return;
    }
    const stored = recordOf(id, content);
    const unsaved = content.arches.filter(({ bytes }) => !keyFor(id, bytes).saved);
    try {
      await storage.save(stored, new Map(unsaved.map(({ bytes }) => [keyFor(id, bytes).key, bytes])));
      for (const { bytes } of unsaved) keys.set(bytes, { ...keyFor(id, bytes), saved: true });
      if (!waiting) {
        journal.clear(id);
        if (controller.open()?.id === id) setState('saved');
      }
      await list();
    } catch (fault) {
      const full = isQuotaFault(fault);
      if (full && state() !== 'full') controller.setNotice(NO_ROOM);
      setState(full ? 'full' : 'failed');
    }
  }

  /** One save after the other: an older record never overtakes a newer one. */
  function saveInTurn(): Promise<void> {
    saving = saving.then(save);
    return saving;
  }

  function flush(): Promise<void> {
    return waiting ? saveInTurn() : saving;
  }

  createEffect(
    on([controller.open, controller.inputs, controller.other], ([open]) => {
      if (!open) {
        waiting = false;
        void hold(null);
        return setState('nothing');
      }
      void hold(open.id);
      if (state() !== 'full' && state() !== 'elsewhere') setState('saving');
      const content = controller.content();
      const onDevice = content?.arches.every(({ bytes }) => keyFor(open.id, bytes).saved);
      if (content && onDevice && state() !== 'elsewhere') journal.note(recordOf(open.id, content));
      waiting = true;
      const timer = setTimeout(flush, SAVE_REST_MS);
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
    await hold(null);
    controller.setNotice(TAKEN);
  });
  locks.onLost((id) => {
    if (controller.open()?.id !== id) return;
    held = null;
    controller.closeCase();
    controller.setNotice(TAKEN);
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
    const content =
      (await contentOf(journal.newerThan(stored)).catch(() => null)) ??
      (await contentOf(stored).catch(() => null));
    if (!content) {
      lock.release();
      controller.setNotice(
        `The scan of ${storedName(stored)} is no longer on this device; open the file again.`,
      );
      return;
    }
    lastStamp = Math.max(lastStamp, stored.savedAt);
    const former = held;
    held = { id, lock: Promise.resolve(lock) };
    await controller.restore(id, content);
    if (controller.open()?.id === id) void former?.lock.then((one) => one?.release());
    else {
      held = former;
      lock.release();
    }
  }

  async function contentOf(stored: StoredCase | null): Promise<CaseContent | null> {
    if (!stored) return null;
    const arches: CaseArch[] = [];
    for (const { scanKey, ...rest } of stored.arches) {
      const bytes = await storage.scanOf(scanKey);
      if (!bytes) return null;
      keys.set(bytes, { id: stored.id, key: scanKey, saved: true });
      arches.push({ ...rest, bytes });
    }
    const [first, second] = arches;
    if (!first) return null;
    return { demo: stored.demo, arches: second ? [first, second] : [first] };
  }

  return {
    state,
    cases,
    unreadable,
    elsewhere,
    flush,
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
          controller.setNotice('This case is open in another tab; close it there before you delete it.');
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
