import { type DBSchema, type IDBPDatabase, openDB } from 'idb';
import { type CaseStorage, readStoredCase, type StoredCase } from '../kernel/case-storage.ts';

interface CaseDatabase extends DBSchema {
  cases: { key: string; value: StoredCase };
  scans: { key: string; value: Uint8Array };
}

/** Cases in the browser's IndexedDB: small records beside the scans' bytes, joined by the case's id. */
export function makeIdbCaseStorage(name = 'archgap'): CaseStorage {
  let opening: Promise<IDBPDatabase<CaseDatabase>> | null = null;
  const database = () => {
    opening ??= openDB<CaseDatabase>(name, 1, {
      upgrade(db) {
        db.createObjectStore('cases', { keyPath: 'id' });
        db.createObjectStore('scans');
      },
      terminated() {
        opening = null;
      },
    });
    return opening;
  };
  return {
    async list() {
      const all = await (await database()).getAll('cases');
      return all
        .map(readStoredCase)
        .filter((stored) => stored !== null)
        .sort((a, b) => b.savedAt - a.savedAt);
    },
    scanOf: async (id) => (await (await database()).get('scans', id)) ?? null,
    async putScan(id, bytes) {
      await (await database()).put('scans', bytes, id);
    },
    async put(stored) {
      await (await database()).put('cases', stored);
    },
    async remove(id) {
      const transaction = (await database()).transaction(['cases', 'scans'], 'readwrite');
      await Promise.all([
        transaction.objectStore('cases').delete(id),
        transaction.objectStore('scans').delete(id),
        transaction.done,
      ]);
    },
  };
}
