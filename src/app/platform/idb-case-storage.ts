import { type DBSchema, type IDBPDatabase, type IDBPObjectStore, openDB } from 'idb';
import { giveBack } from '../../geometry/give-back.ts';
import {
  type CaseStorage,
  nameOf,
  readStoredCase,
  refuseOvertaken,
  type StoredCase,
  scanKeysOf,
} from '../kernel/case-storage.ts';

/** What stands for a scan that lies in pieces: each but the last is `pieceBytes` long. */
interface InPieces {
  readonly byteLength: number;
  readonly pieceBytes: number;
}

interface CaseDatabase extends DBSchema {
  cases: { key: string; value: StoredCase };
  /** A scan under its key; of one in pieces their lengths, and each piece under the key and where it begins. */
  scans: { key: string | [scanKey: string, from: number]; value: Uint8Array | InPieces };
}

type Scans<Mode extends IDBTransactionMode> = IDBPObjectStore<
  CaseDatabase,
  ('cases' | 'scans')[],
  'scans',
  Mode
>;

/**
 * The browser copies whatever it stores or reads three times and more: of a whole heavy scan that would be the most
 * memory the page ever takes, and a tenth of a second in which it answers nobody. A piece is below the size (a good
 * 900 kB) from which the browser maps the memory of every copy anew: 48 MB in pieces of 2 MB took the page's thread
 * three to five times as long, 30 to 60 ms for each of them where the first touch of memory is slow, and its other
 * processes even more. So many bytes take 3 ms.
 */
const PIECE_BYTES = 500_000;

/** A commit counts only when it has reached the disk, not a cache of the system that a power cut empties. */
const STRICT = { durability: 'strict' } as const;

/**
 * Cases in the browser's IndexedDB: small records beside the scans' bytes, joined by the scans' keys. Each change is
 * one transaction, which the browser keeps whole or not at all, however many pieces the scans are in.
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
    scanOf: async (scanKey) =>
      readScanBytes((await database()).transaction(['cases', 'scans']).objectStore('scans'), scanKey),
    async save(stored, scans) {
      const transaction = await changing();
      const [cases, bytes] = [transaction.objectStore('cases'), transaction.objectStore('scans')];
      try {
        const kept = keysOf(stored);
        const before = await cases.get(stored.id);
        refuseOvertaken(stored, before);
        const gone = keysOf(before).filter((key) => !kept.includes(key));
        for (const [key, scan] of scans) await putScan(bytes, key, scan);
        for (const key of gone) await deleteScan(bytes, key);
        await cases.put(stored);
        await transaction.done;
      } catch (fault) {
        throw await abandoned(transaction, fault);
      }
    },
    async remove(id) {
      const transaction = await changing();
      const [cases, bytes] = [transaction.objectStore('cases'), transaction.objectStore('scans')];
      const keys = [...keysOf(await cases.get(id)), id];
      for (const key of keys) await deleteScan(bytes, key);
      await cases.delete(id);
      await transaction.done;
    },
  };
}

/** Piece after piece: only one of them is in the browser's hands at a time. */
async function putScan(scans: Scans<'readwrite'>, key: string, scan: Uint8Array): Promise<void> {
  const put = (from: number, at: string | [string, number]) => {
    // Of a view the browser would store all that lies under it; the copy it takes at once.
    const piece = scan.slice(from, from + PIECE_BYTES);
    const stored = scans.put(piece, at);
    giveBack(piece);
    return stored;
  };
  if (scan.length <= PIECE_BYTES) {
    await put(0, key);
    return;
  }
  for (let from = 0; from < scan.length; from += PIECE_BYTES) await put(from, [key, from]);
  await scans.put({ byteLength: scan.length, pieceBytes: PIECE_BYTES }, key);
}

/** @returns null where it is not there, or not whole */
async function readScanBytes(scans: Scans<'readonly'>, key: string): Promise<Uint8Array | null> {
  const found = await scans.get(key);
  if (found === undefined) return null;
  if (!('pieceBytes' in found)) return found;
  const { byteLength, pieceBytes } = found;
  const scan = new Uint8Array(byteLength);
  for (let from = 0; from < byteLength; from += pieceBytes) {
    const piece = await scans.get([key, from]);
    if (piece === undefined || 'pieceBytes' in piece) return null;
    if (piece.length !== Math.min(pieceBytes, byteLength - from)) return null;
    scan.set(piece, from);
    giveBack(piece);
  }
  return scan;
}

async function deleteScan(scans: Scans<'readwrite'>, key: string): Promise<void> {
  await scans.delete(key);
  await scans.delete(IDBKeyRange.bound([key, 0], [key, Number.POSITIVE_INFINITY]));
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
