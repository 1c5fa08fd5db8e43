import { createRoot } from 'solid-js';
import type { CaseLocks } from '../../../src/app/kernel/case-locks.ts';
import {
  type CaseStorage,
  readStoredCase,
  refuseOvertaken,
  type StoredCase,
  scanKeysOf,
} from '../../../src/app/kernel/case-storage.ts';
import { type CaseController, createCase } from '../../../src/app/kernel/create-case.ts';
import { createPersistence } from '../../../src/app/kernel/create-persistence.ts';
import type { Persistence } from '../../../src/app/kernel/persistence-types.ts';
import type { TextStore } from '../../../src/app/kernel/preferences.ts';
import { makeFakeClient } from './fake-client.ts';

/** A device that outlives the page: what is stored has been cloned, as IndexedDB does. */
export function makeDevice() {
  const cases = new Map<string, StoredCase>();
  const scans = new Map<string, Uint8Array>();
  const marks = new Map<string, string>();
  const keysOf = (id: string) => {
    const stored = cases.get(id);
    return stored ? scanKeysOf(stored) : [];
  };
  const storage: CaseStorage = {
    list: async () => {
      const read = [...cases.values()].map(readStoredCase).filter((stored) => stored !== null);
      return { cases: read, unreadable: cases.size - read.length };
    },
    scanOf: async (key) => scans.get(key)?.slice() ?? null,
    save: async (stored, given) => {
      refuseOvertaken(stored, cases.get(stored.id));
      const kept = scanKeysOf(stored);
      for (const key of keysOf(stored.id)) if (!kept.includes(key)) scans.delete(key);
      for (const [key, bytes] of given) scans.set(key, bytes.slice());
      cases.set(stored.id, structuredClone(stored));
    },
    remove: async (id) => {
      for (const key of keysOf(id)) scans.delete(key);
      cases.delete(id);
    },
  };
  const text: TextStore = {
    get: (key) => marks.get(key) ?? null,
    set: (key, value) => void marks.set(key, value),
  };
  return { cases, scans, marks, storage, text, serial: 0, caseSerial: 0 };
}

const DEMO_CLICKS = JSON.stringify({ jaw: 'upper', clicks: [], missing: [], fixed: [] });

export type Device = ReturnType<typeof makeDevice>;
const ends: (() => void)[] = [];

/** Leaves every page that was opened. */
export function leaveAll() {
  for (const end of ends.splice(0)) end();
}

/** Opens the page anew on a device. */
export function visit(
  device: Device,
  locks?: CaseLocks,
): { controller: CaseController; persistence: Persistence; leave: () => void } {
  return createRoot((end) => {
    ends.push(end);
    const now = () => new Date();
    const controller = createCase({
      client: makeFakeClient(),
      fetchDemo: async () => ({
        scan: { name: 'demo-arch.ply', bytes: new Uint8Array([1]) },
        clicks: DEMO_CLICKS,
      }),
      newId: () => `case-${++device.caseSerial}`,
      numbering: () => 'iso',
      version: '0.0.0',
      now,
    });
    return {
      controller,
      persistence: createPersistence({
        storage: device.storage,
        marks: device.text,
        tabMarks: { get: () => null, set: () => {} },
        controller,
        now,
        newKey: () => `scan-${++device.serial}`,
        ...(locks ? { locks } : {}),
      }),
      leave: end,
    };
  });
}
