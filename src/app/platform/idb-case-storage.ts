import { type DBSchema, type IDBPDatabase, openDB } from 'idb';
import {
  type CaseStorage,
  nameOf,
  readStoredCase,
  refuseOvertaken,
  type StoredCase,
  scanKeysOf,
} from '../kernel/case-storage.ts';

interface CaseDatabase extends DBSchema {
  cases: { key: string; value: StoredCase };
  scans: { key: string; value: Uint8Array };
}

/** A commit counts only when it has reached the disk, not a cache of the system that a power cut empties. */
const STRICT = { durability: 'strict' } as const;

/**
 * Cases in the browser's IndexedDB: small records beside the scans' bytes, joined by the scans' keys. Each change is
 * one transaction, which the browser keeps whole or not at all.
 */
export function makeIdbCaseStorage(name = 'archgap'): CaseStorage {
  let opening: Promise<IDBPDatabase<CaseDatabase>> | null = null;
  const database = () => {
    opening ??= openDB<CaseDatabase>(name, 1, {
      upgrade(db) {
        db.createObjectStore('cases', { keyPath: 'id' });
        db.createObjectStore('scans');
      },
      blocking(_current, _blocked, event) {
        // A newer version of the page in another tab wants to change the stores: this one opens them anew after it.
        (event.target as IDBDatabase).close();
        opening = null;
      },
      terminated() {
        opening = null;
      },
    });
    // A refusal (a private window, a full disk) is asked for again, not remembered.
    opening.catch(() => {
      opening = null;
    });
    return opening;
  };
  const changing = async () => (await database()).transaction(['cases', 'scans'], 'readwrite', STRICT);
  const keysOf = (stored: unknown) => {
    const known = readStoredCase(stored);
    return known === null ? [] : scanKeysOf(known);
  };
  return {
    async list() {
      const all = await (await database()).getAll('cases');
      const cases = all.map(readStoredCase).filter((stored) => stored !== null);
      return {
        cases: cases.sort((a, b) => b.savedAt - a.savedAt),
        unreadable: all.length - cases.length,
      };
    },
    scanOf: async (scanKey) => (await (await database()).get('scans', scanKey)) ?? null,
    async save(stored, scans) {
      const transaction = await changing();
      const [cases, bytes] = [transaction.objectStore('cases'), transaction.objectStore('scans')];
      try {
        const kept = keysOf(stored);
        const before = await cases.get(stored.id);
        refuseOvertaken(stored, before);
        const gone = keysOf(before).filter((key) => !kept.includes(key));
        // Each in an async function: one that throws at once must not leave the others unheard.
        await Promise.all([
          ...[...scans].map(async ([key, scan]) => bytes.put(scan, key)),
          ...gone.map(async (key) => bytes.delete(key)),
          (async () => cases.put(stored))(),
        ]);
        await transaction.done;
      } catch (fault) {
        throw await abandoned(transaction, fault);
      }
    },
    async remove(id) {
      const transaction = await changing();
      const [cases, bytes] = [transaction.objectStore('cases'), transaction.objectStore('scans')];
      const keys = [...keysOf(await cases.get(id)), id];
      await Promise.all([...keys.map((key) => bytes.delete(key)), cases.delete(id)]);
      await transaction.done;
    },
  };
}

/**
 * Takes back a transaction that failed, if the browser has not done so.
 * @returns why it failed: of a full disk only the transaction as a whole tells, its requests are just broken off
 */
async function abandoned(
  transaction: { abort(): void; readonly done: Promise<void> },
  fault: unknown,
): Promise<unknown> {
  try {
    transaction.abort();
  } catch {
    // It was taken back already.
  }
  const reason = await transaction.done.then(
    () => fault,
    (cause: unknown) => cause,
  );
  return nameOf(fault) === 'AbortError' ? reason : fault;
}
