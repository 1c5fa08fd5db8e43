import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { emptyInputs } from '../../../src/app/kernel/case-inputs.ts';
import type { CaseStorage, StoredCase } from '../../../src/app/kernel/case-storage.ts';
import { makeCaseStorageApart, type StorageWorker } from '../../../src/app/platform/case-storage-apart.ts';
import type { StorageReply, StorageRequest } from '../../../src/app/platform/storage-messages.ts';

const CASE: StoredCase = {
  version: 2,
  id: 'a',
  demo: false,
  savedAt: 1,
  arches: [{ scanKey: 'a1', fileName: 'a.stl', unit: null, originMm: null, inputs: emptyInputs() }],
};
/** Longer than one piece of the copying. */
const SCAN = Uint8Array.from({ length: 9_000_001 }, (_, i) => i * 31);

type Saved = [stored: StoredCase, scans: ReadonlyMap<string, Uint8Array>];

let inPage: CaseStorage;
let savedInPage: Saved[];
let workers: FakeWorker[];

/** Gets what it is sent as a worker does: buffers that are sent are gone from the sender. */
class FakeWorker implements StorageWorker {
  onmessage: StorageWorker['onmessage'] = null;
  onerror: StorageWorker['onerror'] = null;
  onmessageerror: StorageWorker['onmessageerror'] = null;
  readonly asked: StorageRequest[] = [];
  ended = false;
  constructor(readonly answer: StorageReply | 'dies' | 'unreadable' | 'hangs') {
    workers.push(this);
  }
  postMessage(request: StorageRequest, transfer: Transferable[]): void {
    this.asked.push(structuredClone(request, { transfer }));
    queueMicrotask(() => {
      if (this.answer === 'dies') this.onerror?.({ message: '' } as ErrorEvent);
      else if (this.answer === 'hangs') return;
      else if (this.answer === 'unreadable') this.onmessageerror?.({} as MessageEvent);
      else this.onmessage?.({ data: this.answer } as MessageEvent<StorageReply>);
    });
  }
  terminate(): void {
    this.ended = true;
  }
}

const answering = (answer: FakeWorker['answer']) =>
  makeCaseStorageApart(inPage, () => new FakeWorker(answer));
const sameBytes = (a: Uint8Array | undefined) => Buffer.compare(a ?? new Uint8Array(), SCAN) === 0;

beforeEach(() => {
  workers = [];
  savedInPage = [];
  inPage = {
    list: async () => ({ cases: [], unreadable: 0 }),
    scanOf: async () => SCAN,
    save: async (...call) => void savedInPage.push(call),
    remove: async () => {},
  };
});
afterEach(() => {
  vi.restoreAllMocks();
  vi.useRealTimers();
});

describe('scans stored by a worker', () => {
  it('a case with scans is saved there in one request, byte for byte; the scans stay with the page', async () => {
    await answering({ kind: 'done', scan: null }).save(CASE, new Map([['a1', SCAN]]));
    const [worker] = workers;
    const [request] = worker!.asked;
    expect(request).toMatchObject({ kind: 'save', stored: CASE });
    expect(request?.kind === 'save' && sameBytes(request.scans.get('a1'))).toBe(true);
    expect(SCAN.length).toBe(9_000_001);
    expect([worker!.ended, workers.length, savedInPage.length]).toEqual([true, 1, 0]);
  });

  it('a case whose scans lie on the device is saved by the page itself, at once', async () => {
    const saving = answering({ kind: 'done', scan: null }).save(CASE, new Map());
    expect(savedInPage).toEqual([[CASE, new Map()]]);
    await saving;
    expect(workers).toEqual([]);
  });

  it('reads a scan there, and knows one that is not there', async () => {
    expect(await answering({ kind: 'done', scan: SCAN }).scanOf('a1')).toBe(SCAN);
    expect(await answering({ kind: 'done', scan: null }).scanOf('a1')).toBeNull();
    expect(workers.map(({ asked, ended }) => [asked, ended])).toEqual(
      Array(2).fill([[{ kind: 'scanOf', scanKey: 'a1' }], true]),
    );
  });

  it('a refusal comes through by its name, so that a full device is told as such; the page does not try again', async () => {
    const full = answering({ kind: 'refused', name: 'QuotaExceededError', message: 'full' });
    const saving = full.save(CASE, new Map([['a1', SCAN]]));
    await expect(saving).rejects.toMatchObject({ name: 'QuotaExceededError', message: 'full' });
    expect([savedInPage.length, workers[0]!.ended]).toEqual([0, true]);
  });

  it.each(['no workers at all', 'dies', 'unreadable'] as const)(
    'the page does it itself: %s',
    async (how) => {
      const told = vi.spyOn(console, 'warn').mockImplementation(() => {});
      const storage =
        how === 'no workers at all'
          ? makeCaseStorageApart(inPage, () => {
              throw new Error('refused');
            })
          : answering(how);
      await storage.save(CASE, new Map([['a1', SCAN]]));
      expect(savedInPage).toHaveLength(1);
      expect(sameBytes(savedInPage[0]![1].get('a1'))).toBe(true);
      expect(await storage.scanOf('a1')).toBe(SCAN);
      expect(told).toHaveBeenCalledTimes(2);
      expect(workers.every(({ ended }) => ended)).toBe(true);
    },
  );

  it('the page does it itself: hangs', async () => {
    vi.spyOn(console, 'warn').mockImplementation(() => {});
    vi.useFakeTimers();
    const saving = answering('hangs').save(CASE, new Map([['a1', new Uint8Array(3)]]));
    await vi.advanceTimersByTimeAsync(19_999);
    // As long as it may only be slow it is waited for.
    expect(savedInPage).toEqual([]);
    await vi.advanceTimersByTimeAsync(2);
    await saving;
    const reading = answering('hangs').scanOf('a1');
    await vi.advanceTimersByTimeAsync(120_000);
    expect(await reading).toBe(SCAN);
    expect([savedInPage.length, workers.map(({ ended }) => ended)]).toEqual([1, [true, true]]);
  });
});
