import { makeIdbCaseStorage } from './idb-case-storage.ts';
import type { StorageReply, StorageRequest } from './storage-messages.ts';

/** Writes and reads scans away from the page's own thread: the browser copies every byte of them as it does so. */
const storage = makeIdbCaseStorage();

async function answer(request: StorageRequest): Promise<StorageReply> {
  try {
    if (request.kind === 'scanOf') return { kind: 'done', scan: await storage.scanOf(request.scanKey) };
    await storage.save(request.stored, request.scans);
    return { kind: 'done', scan: null };
  } catch (fault) {
    const { name, message } = fault instanceof Error ? fault : new Error(String(fault));
    return { kind: 'refused', name, message };
  }
}

self.addEventListener('message', async ({ data }: MessageEvent<StorageRequest>) => {
  const reply = await answer(data);
  const owned = reply.kind === 'done' && reply.scan !== null ? [reply.scan.buffer as ArrayBuffer] : [];
  self.postMessage(reply, { transfer: owned });
});
