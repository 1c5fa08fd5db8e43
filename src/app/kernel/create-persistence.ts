import { type Accessor, createEffect, createSignal, on, onCleanup } from 'solid-js';
import type { CaseStorage, StoredCase } from './case-storage.ts';
import type { CaseController } from './create-case.ts';
import type { TextStore } from './preferences.ts';

type SaveState = 'nothing' | 'saving' | 'saved' | 'failed';

/** Keeps the open case on the device as it changes, and brings it back. */
export interface Persistence {
  readonly state: Accessor<SaveState>;
  /** All cases on the device, newest first. */
  readonly cases: Accessor<readonly StoredCase[]>;
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
  readonly controller: CaseController;
  readonly now: () => Date;
}

/** Rest after a change before it is written, ms. Short: nothing clicked may be lost. */
const SAVE_REST_MS = 200;
const OPEN_CASE_MARK = 'archgap.open-case';

export function createPersistence({ storage, marks, controller, now }: PersistenceSources): Persistence {
  const [state, setState] = createSignal<SaveState>('nothing');
  const [cases, setCases] = createSignal<readonly StoredCase[]>([]);
  /** The bytes that lie on the device, by case. */
  const scansOnDevice = new Map<string, Uint8Array>();
  let waiting: (() => Promise<void>) | null = null;

  async function save(): Promise<void> {
    const open = controller.open();
    if (!open) return;
    const { id, fileName, demo, unit } = open;
    const inputs = controller.inputs();
    try {
      if (scansOnDevice.get(id) !== open.bytes) {
        await storage.putScan(id, open.bytes);
        scansOnDevice.set(id, open.bytes);
      }
      await storage.put({ version: 1, id, fileName, demo, unit, inputs, savedAt: now().getTime() });
      if (waiting === null) setState('saved');
      setCases(await storage.list());
    } catch {
      setState('failed');
    }
  }

  async function flush(): Promise<void> {
    const work = waiting;
    waiting = null;
    if (work) await work();
  }

  createEffect(
    on([controller.open, controller.inputs], ([open]) => {
      if (!open) return setState('nothing');
      setState('saving');
      waiting = save;
      const timer = setTimeout(flush, SAVE_REST_MS);
      onCleanup(() => clearTimeout(timer));
    }),
  );
  createEffect(
    on(controller.open, (open) => marks.set(OPEN_CASE_MARK, open?.id ?? ''), {
      defer: true,
    }),
  );

  async function openStored(stored: StoredCase): Promise<void> {
    await flush();
    const bytes = await storage.scanOf(stored.id).catch(() => null);
    if (!bytes) {
      controller.setNotice(
        `The scan of ${stored.fileName} is no longer on this device; open the file again.`,
      );
      return;
    }
    scansOnDevice.set(stored.id, bytes);
    await controller.restore(stored, bytes);
  }

  return {
    state,
    cases,
    flush,
    openStored,
    async restoreLast() {
      const last = marks.get(OPEN_CASE_MARK);
      try {
        setCases(await storage.list());
      } catch {
        setState('failed');
        return;
      }
      const stored = cases().find((one) => one.id === last);
      if (stored) await openStored(stored);
    },
    async remove(id) {
      if (controller.open()?.id === id) {
        waiting = null;
        controller.closeCase();
      }
      scansOnDevice.delete(id);
      await storage.remove(id);
      setCases(await storage.list());
    },
  };
}
