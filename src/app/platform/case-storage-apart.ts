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

/**
 * A storage of which scans are written and read by a worker: in the page, a scan of a million triangles would stop
 * everything else for a tenth of a second. The worker ends with each request and gives its memory back. A save with
 * scans is one transaction there, with the case in it; everything without scans is small and stays with `inPage`.
 *
 * Where workers cannot start or die, `inPage` does it all: the page then stutters, nothing else is lost.
 */
export function makeCaseStorageApart(inPage: CaseStorage, spawn: () => StorageWorker): CaseStorage {
  return {
    ...inPage,
    async save(stored, scans) {
      if (scans.size === 0) return inPage.save(stored, scans);
      const copies = new Map<string, Uint8Array<ArrayBuffer>>();
      for (const [key, scan] of scans) copies.set(key, await copyInPieces(scan));
      const buffers = [...copies.values()].map(({ buffer }) => buffer);
      const reply = await ask(spawn, { kind: 'save', stored, scans: copies }, buffers);
      if (reply === null) await inPage.save(stored, scans);
    },
    async scanOf(scanKey) {
      const reply = await ask(spawn, { kind: 'scanOf', scanKey }, []);
      return reply === null ? inPage.scanOf(scanKey) : reply.scan;
    },
  };
}

/**
 * @returns what the worker did; null where it could not start, or died
 * @throws what the browser refused with in the worker, by its name
 */
async function ask(
  spawn: () => StorageWorker,
  request: StorageRequest,
  buffers: ArrayBuffer[],
): Promise<Extract<StorageReply, { kind: 'done' }> | null> {
  const reply = await new Promise<StorageReply | null>((resolve) => {
    let worker: StorageWorker | null = null;
    const end = (said: StorageReply | null, why = ''): void => {
      worker?.terminate();
      if (said === null)
        console.warn(`The storage worker is not available (${why}); the page stores itself.`);
      resolve(said);
    };
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
