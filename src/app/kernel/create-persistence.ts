import { createEffect, createSignal, on, onCleanup } from 'solid-js';
import { makeCaseJournal } from './case-journal.ts';
import { type HeldCase, NO_LOCKS } from './case-locks.ts';
import { isOvertaken, isSameState, nameOf, type StoredCase, storedName } from './case-storage.ts';
import type { KeptCase } from './create-files.ts';
import { makeCaseHold } from './make-case-hold.ts';
import { makeCaseRecords } from './make-case-records.ts';
import { type Left, makeLeftCases, type Unsaved } from './make-left-cases.ts';
import type { Persistence, PersistenceSources, SaveState } from './persistence-types.ts';
import { retryWhile } from './retry-while.ts';
import { allHeld } from './scan-bytes.ts';

const isQuotaFault = (fault: unknown) => nameOf(fault) === 'QuotaExceededError';

/** Rest after a change before it is written, ms; the journal has it meanwhile. */
const SAVE_REST_MS = 200;
const OPEN_CASE_MARK = 'archgap.open-case';

const NO_ROOM =
  'There is no room left on this device, so the case is no longer saved here; it is safe as long as this page stays open. Delete cases you no longer need, or save this one as a file (under Scan).';
const TAKEN =
  'This case was opened in another tab and goes on there, with everything that was done here; it was closed in this one.';

const TAKEN_UNSAVED =
  'This case was opened in another tab as it was last saved. What was done since could not be saved here; this tab still shows it, and it can be saved as a file (under Scan).';
const STILL_SHOWN =
  'This case goes on in another tab. This one still shows what could not be saved: save it as a file (under Scan) if it is wanted, then close the case here and open it again.';

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
  const hold = makeCaseHold(locks, () => saving);
  /** What the open case waits to be saved as. */
  let pending: Unsaved | null = null;
  const left = makeLeftCases(controller);
  /** Per case, the stamp with which it lay on the device when this tab opened it, or saved it last. */
  const stamps = new Map<string, number>();
  /** Scans that are being written. */
  let writing: ReadonlySet<string> = new Set();
  let saving: Promise<void> = Promise.resolve();
  let former: string | undefined;
  /** A case that is just being opened. */
  let opening: string | undefined;
  /** The last change of the open case is in the journal. */
  let isNoted = false;

  async function list(): Promise<void> {
    const found = await storage.list();
    records.areThere(found.cases);
    setCases(found.cases);
    setUnreadable(found.unreadable);
  }

  /** @param was - the same as it was left; null = it is the open case */
  async function save(unsaved: Unsaved, was: Left | null, lock = unsaved.lock): Promise<void> {
    const { id, kept } = unsaved;
    const stored = was?.stored ?? records.recordOf(id, kept);
    const isOpen = () => controller.open()?.id === id;
    try {
      if ((await lock) === null) return isElsewhere(id, was);
      if (was) {
        await list();
        if (wentOn(id)) return left.forget(was, 'gone on with');
        if (stamps.has(id) && !onDevice(id)) return left.forget(was, 'deleted');
      }
      const scans = records.unsavedScans(id, kept);
      writing = new Set(scans.keys());
      await records.holdDropped(stored);
      await storage.save(stored, await allHeld(scans));
      // Taken by force meanwhile: what the other tab does to the scans on the device is not to take them from this one.
      if (isGiven(id)) return;
      records.isSaved(stored, scans);
      stamps.set(id, stored.savedAt);
      if (was) left.settle(was);
      const isLast = pending?.id !== id && left.of(id).length === 0;
      if (isLast) journal.clear(id);
      if (isLast && isOpen()) isKept();
      await list();
    } catch (fault) {
      if (isOvertaken(fault)) isElsewhere(id, was);
      else refused(was ?? { ...unsaved, stored }, isQuotaFault(fault));
    } finally {
      writing = new Set();
      forgetClosed();
    }
  }

  /** It is shown here, but another tab has it. */
  const isGiven = (id: string) => controller.open()?.id === id && state() === 'elsewhere';

  /** Another tab has the case, or took it and went on with it. */
  function isElsewhere(id: string, was: Left | null): void {
    if (was) left.forget(was, 'gone on with');
    if (controller.open()?.id !== id) return;
    setState('elsewhere');
    pending = null;
    void hold.take(null);
  }

  /** The open case is on the device as it is; that there was no room for it is over. */
  function isKept(): void {
    setState('saved');
    if (controller.notice()?.sentence === NO_ROOM) controller.dismissNotice();
  }

  /** Of a case that was closed, or asked for and not opened, nothing is kept once nothing of it waits. */
  function forgetClosed(): void {
    const ids = [controller.open()?.id ?? '', opening ?? '', ...left.all().map(({ id }) => id)];
    records.forgetOthers(new Set(ids));
  }

  const onDevice = (id: string) => cases().find((one) => one.id === id);

  /** Another tab saved the case after this one had opened it, or saved it last. */
  const wentOn = (id: string) => (onDevice(id)?.savedAt ?? 0) > (stamps.get(id) ?? 0);

  /** As it lies on the device already: it was only looked at. */
  function isUnchanged(stored: StoredCase): boolean {
    const there = onDevice(stored.id);
    return there !== undefined && isSameState(there, stored);
  }

  /** What could not be saved is kept, to be tried again. */
  function refused(unsaved: Left, full: boolean): void {
    if (controller.open()?.id !== unsaved.id) {
      if (!isUnchanged(unsaved.stored)) left.refused(unsaved);
      return;
    }
    if (isGiven(unsaved.id)) return;
    pending ??= unsaved;
    if (full && state() !== 'full') controller.tell(NO_ROOM, 'failed');
    setState(full ? 'full' : 'failed');
  }

  /** One save after the other: an older record never overtakes a newer one. */
  function inTurn(save: () => Promise<void>): Promise<void> {
    saving = saving.then(save).catch(() => void setState('failed'));
    return saving;
  }

  /** Saves the open case as it is when its turn comes. */
  function saveOpen(): Promise<void> {
    return inTurn(async () => {
      const unsaved = pending;
      const kept = controller.kept();
      if (unsaved === null || kept === null) return;
      pending = null;
      // Where the browser failed to give the lock it is asked again.
      await save({ id: unsaved.id, kept, lock: hold.take(unsaved.id) }, null);
    });
  }

  /** The open case is being left: its last state is saved, whatever is opened meanwhile. */
  function leave(): void {
    const unsaved = pending;
    pending = null;
    // What another tab has is saved there.
    if (unsaved === null || state() === 'elsewhere') return;
    const was: Left = { ...unsaved, stored: records.recordOf(unsaved.id, unsaved.kept) };
    left.add(was);
    void inTurn(async () => {
      if (!left.has(was)) return;
      // Not before its turn: a state of between may still be on its way to the device.
      if (isUnchanged(was.stored)) left.settle(was);
      else await save(was, was);
    });
  }

  /** Tries once more what there was no room for. */
  async function saveLeft(): Promise<void> {
    for (const was of left.all()) {
      // It is being opened again.
      if (was.id === opening || !left.has(was)) continue;
      const lock = await locks.take(was.id);
      await inTurn(async () => {
        // Opened again meanwhile, it is saved as the open case.
        if (left.has(was)) await save(was, was, Promise.resolve(lock));
      });
      lock?.release();
    }
  }

  function flush(): Promise<void> {
    return pending ? saveOpen() : saving;
  }

  createEffect(
    on([controller.open, controller.inputs, controller.other, controller.earlier], ([open]) => {
      if (pending?.id !== open?.id) leave();
      const isSame = open?.id === former;
      former = open?.id;
      if (!open) {
        void hold.take(null);
        return setState('nothing');
      }
      // What another tab went on with is not saved from here again, even when it is free by now.
      if (state() === 'elsewhere' && isSame) return;
      const lock = hold.take(open.id);
      // The save tells when that fails.
      lock.catch(() => {});
      if (state() !== 'full') setState('saving');
      const kept = controller.kept();
      if (!kept) return;
      pending = { id: open.id, kept, lock };
      // Opened again, it is saved as the open case.
      for (const was of left.of(open.id)) left.settle(was);
      const unsaved = [...records.unsavedScans(open.id, kept).keys()];
      // The journal has no scans: where they are not on the device, nor on the way, it would be of no use.
      isNoted = unsaved.every((key) => writing.has(key)) && journal.note(records.recordOf(open.id, kept));
      const timer = setTimeout(flush, unsaved.length === 0 ? SAVE_REST_MS : 0);
      onCleanup(() => clearTimeout(timer));
    }),
  );
  // Room becomes free without a sign: another program's files go, or what the page itself could not keep.
  retryWhile(() => state() === 'full', saveOpen);
  createEffect(
    on(
      controller.open,
      (open) => {
        for (const store of [marks, tabMarks]) store.set(OPEN_CASE_MARK, open?.id ?? '');
      },
      { defer: true },
    ),
  );

  /** The open case is another tab's from here on; what could not be saved stays on the screen. */
  function goesOn(): void {
    const isUnsaved = state() !== 'saved' && !isAllOnDevice();
    const kept = controller.kept();
    pending = null;
    // What the other tab does to the scans on the device is not to take them from this one.
    if (isUnsaved && kept) void records.holdAll(kept).catch(() => {});
    if (isUnsaved) setState('elsewhere');
    else controller.closeCase();
    controller.tell(isUnsaved ? TAKEN_UNSAVED : TAKEN, isUnsaved ? 'failed' : undefined);
  }

  /** The journal has the last change of the open case, and the scans are there. */
  function isAllOnDevice(): boolean {
    const id = controller.open()?.id;
    const kept = controller.kept();
    return isNoted && id !== undefined && kept !== null && records.unsavedScans(id, kept).size === 0;
  }

  locks.onAsked(async (id) => {
    const isOpen = () => controller.open()?.id === id;
    if (!isOpen()) return;
    await flush();
    // What was done meanwhile goes along; whoever goes on even then does not keep the other tab waiting.
    if (isOpen() && state() === 'saving') await flush();
    // Another case is open by now, or none: this one was saved and given back, or taken by force.
    if (!isOpen() || isGiven(id)) return;
    goesOn();
    await hold.take(null);
  });
  locks.onLost((id) => {
    for (const was of left.of(id)) left.forget(was, 'gone on with');
    if (controller.open()?.id !== id) return;
    hold.forget();
    goesOn();
  });

  async function openStored(stored: StoredCase): Promise<void> {
    if (state() === 'elsewhere' && controller.open()?.id === stored.id)
      return controller.tell(STILL_SHOWN, 'failed');
    await flush();
    await hold.released();
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
    opening = id;
    try {
      await openAsItLies(id, lock);
    } finally {
      opening = undefined;
      forgetClosed();
    }
  }

  async function openAsItLies(id: string, lock: HeldCase): Promise<void> {
    await list();
    const stored = onDevice(id);
    if (!stored) return lock.release();
    const noted = journal.newerThan(stored);
    const kept =
      lastLeft(noted ?? stored) ??
      (await caseOf(noted).catch(() => null)) ??
      (await caseOf(stored).catch(() => null));
    if (!kept) {
      lock.release();
      controller.tell(
        `The scan of ${storedName(stored)} is no longer on this device; open the file again.`,
        'failed',
      );
      return;
    }
    stamps.set(id, stored.savedAt);
    await hold.change(id, lock, async () => {
      await controller.restore(id, kept);
      return controller.open()?.id === id;
    });
  }

  /**
   * The state in which this page left a case that it could not save yet.
   * @param stored - the newest that the device has of it, in its journal, too
   */
  function lastLeft(stored: StoredCase): KeptCase | null {
    let last: Left | null = null;
    for (const was of left.of(stored.id)) {
      // Another tab went on from what lay on the device.
      if (was.stored.savedAt < stored.savedAt || wentOn(was.id)) left.forget(was, 'gone on with');
      else if (last === null || was.stored.savedAt > last.stored.savedAt) last = was;
    }
    return last?.kept ?? null;
  }

  const caseOf = async (stored: StoredCase | null) => (stored ? records.caseOf(stored) : null);

  return {
    state,
    cases,
    unreadable,
    elsewhere,
    flush,
    isAtRisk() {
      if (left.all().length > 0) return true;
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
      if (controller.open()?.id !== id || isGiven(id)) {
        const lock = await locks.take(id);
        if (lock === null) {
          controller.tell('This case is open in another tab; close it there before you delete it.', 'failed');
          return;
        }
        lock.release();
      }
      if (controller.open()?.id === id) {
        pending = null;
        controller.closeCase();
      }
      for (const was of left.of(id)) left.settle(was);
      await saving;
      journal.clear(id);
      stamps.delete(id);
      await storage.remove(id);
      await list();
      await saveLeft();
      if (state() === 'full') await saveOpen();
    },
  };
}
