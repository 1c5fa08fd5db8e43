import type { CaseStorage } from '../kernel/case-storage.ts';
import { copyInPieces } from '../kernel/copy-in-pieces.ts';
import type { StorageReply, StorageRequest } from './storage-messages.ts';

/** What is needed of a browser's Worker. */
export interface StorageWorker {
  onmessage: ((event: MessageEvent<StorageReply>) => void) | null;
  onerror: ((event: ErrorEvent) => void) | null;
  onmessageerror: ((event: MessageEvent) => void) | null;
  postMessage(request: StorageRequest, transfer: Transferable[]): void;
  terminate(): void;
}

/** A worker that has not answered by then hangs; a slow disk writes more than 10 MB in a second. */
const PATIENCE_MS = 20_000;
const PATIENCE_MS_PER_BYTE = 1e-4;
/** For a scan that is read, whose size is not known yet. */
const READING_PATIENCE_MS = 120_000;

/**
 * A storage of which scans are written and read by a worker: in the page, a scan of a million triangles would stop
 * everything else for a tenth of a second. The worker ends with each request and gives its memory back. A save with
 * scans is one transaction there, with the case in it; everything without scans is small and stays with `inPage`.
 *
 * Where workers cannot start, die or hang, `inPage` does it all: the page then stutters, nothing else is lost. A save
 * is one transaction and the same a second time, so it does no harm that the first may have been done.
 */
export function makeCaseStorageApart(inPage: CaseStorage, spawn: () => StorageWorker): CaseStorage {
  return {
    ...inPage,
    async save(stored, scans) {
      if (scans.size === 0) return inPage.save(stored, scans);
      const copies = new Map<string, Uint8Array<ArrayBuffer>>();
      for (const [key, scan] of scans) copies.set(key, await copyInPieces(scan));
      const buffers = [...copies.values()].map(({ buffer }) => buffer);
      const byteCount = buffers.reduce((sum, { byteLength }) => sum + byteLength, 0);
      const patienceMs = PATIENCE_MS + PATIENCE_MS_PER_BYTE * byteCount;
      const reply = await ask(spawn, { kind: 'save', stored, scans: copies }, buffers, patienceMs);
      if (reply === null) await inPage.save(stored, scans);
    },
    async scanOf(scanKey) {
      const reply = await ask(spawn, { kind: 'scanOf', scanKey }, [], READING_PATIENCE_MS);
      return reply === null ? inPage.scanOf(scanKey) : reply.scan;
    },
  };
}

/**
 * @returns what the worker did; null where it could not start, died, or did not answer in time
 * @throws what the browser refused with in the worker, by its name
 */
async function ask(
  spawn: () => StorageWorker,
  request: StorageRequest,
  buffers: ArrayBuffer[],
  patienceMs: number,
): Promise<Extract<StorageReply, { kind: 'done' }> | null> {
  const reply = await new Promise<StorageReply | null>((resolve) => {
    let worker: StorageWorker | null = null;
    const end = (said: StorageReply | null, why = ''): void => {
      clearTimeout(hung);
      worker?.terminate();
      if (said === null)
        console.warn(`The storage worker is not available (${why}); the page stores itself.`);
      resolve(said);
    };
    const hung = setTimeout(() => end(null, 'it does not answer'), patienceMs);
    try {
      worker = spawn();
      worker.onmessage = ({ data }) => end(data);
      worker.onerror = ({ message }) => end(null, message || 'it could not start');
      worker.onmessageerror = () => end(null, 'its answer could not be read');
      worker.postMessage(request, buffers);
    } catch (cause) {
      end(null, cause instanceof Error ? cause.message : 'it could not start');
    }
  });
  if (reply?.kind === 'refused') throw Object.assign(new Error(reply.message), { name: reply.name });
  return reply;
}
