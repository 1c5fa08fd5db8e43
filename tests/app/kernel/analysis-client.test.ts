import { Blob as NodeBlob } from 'node:buffer';
import { expose, transfer } from 'comlink';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { makeAnalysisClient, newestWins, type WorkerLike } from '../../../src/app/kernel/analysis-client.ts';
import { bytesInFile, bytesInMemory } from '../../../src/app/kernel/scan-bytes.ts';
import { cancelledError, inputError } from '../../../src/geometry/archgap-error.ts';
import type { ClickSet } from '../../../src/teeth/types.ts';
import type { AnalysisApi, ScanFacts } from '../../../workers/analysis-api.ts';
import { installErrorTransfer } from '../../../workers/error-transfer-api.ts';
import { portJob } from '../../../workers/port-job.ts';

const ended: (() => void)[] = [];
afterEach(() => {
  for (const end of ended.splice(0)) end();
});

/** A worker played by the other end of a message channel, which can be made to die. */
function playWorker(api: Partial<AnalysisApi>): WorkerLike & { die(message: string): void } {
  installErrorTransfer();
  const { port1, port2 } = new MessageChannel();
  expose(api, port2);
  const onError: ((event: Event) => void)[] = [];
  const close = () => {
    port1.close();
    port2.close();
  };
  ended.push(close);
  return {
    postMessage: (message, transfer) => port1.postMessage(message, transfer ?? []),
    addEventListener(type, listener) {
      if (type === 'error') onError.push(listener);
      else if (type === 'message') {
        port1.addEventListener('message', listener);
        port1.start();
      }
    },
    removeEventListener: (type, listener) => port1.removeEventListener(type, listener),
    terminate: close,
    die(message) {
      for (const listener of onError) listener(Object.assign(new Event('error'), { message }));
    },
  };
}

const watch = () => {
  const abort = new AbortController();
  const stages: string[] = [];
  return {
    abort,
    stages,
    onProgress: ({ stage }: { stage: string }) => stages.push(stage),
    signal: abort.signal,
  };
};

const CLICKS: ClickSet = { jaw: 'upper', clicks: [], missing: [], fixed: [] };
const REPLY = {
  scanId: 'scan-1',
  facts: {} as ScanFacts,
  positions: new Float32Array(),
  normals: new Float32Array(),
  triangles: new Uint32Array(),
  colors: null,
};
const settle = () => new Promise((resolve) => setTimeout(resolve, 15));

describe('analysis client', () => {
  it('sends a copy of the bytes and keeps the original', async () => {
    expect.assertions(2);
    let received: number[] = [];
    const worker = playWorker({
      openScan: async (bytes) => {
        received = [...(bytes as Uint8Array)];
        throw inputError('STOP_HERE', 'Enough seen.');
      },
    });
    const client = makeAnalysisClient({ spawn: () => worker, onStopped: () => {} });
    const given = new Uint8Array([1, 2, 3]);
    const bytes = bytesInMemory(given);
    await client.openScan(bytes, { fileName: 'a.stl', unit: null }, watch()).catch(() => {});
    expect(received).toEqual([1, 2, 3]);
    expect([...given]).toEqual([1, 2, 3]);
  });

  it('gives an unread file of the user to the worker as it is, and keeps what the worker read of it', async () => {
    const worker = playWorker({
      openScan: async (bytes) => {
        const file = new Uint8Array(await (bytes as Blob).arrayBuffer());
        return transfer({ ...REPLY, file }, [file.buffer]);
      },
    });
    const client = makeAnalysisClient({ spawn: () => worker, onStopped: () => {} });
    const given = new NodeBlob([new Uint8Array([1, 2, 3])]) as Blob;
    const readHere = vi.spyOn(given, 'arrayBuffer');
    const bytes = bytesInFile(given);
    const reply = await client.openScan(bytes, { fileName: 'a.stl', unit: null }, watch());
    expect(reply).toEqual(REPLY);
    expect(await bytes.read()).toEqual(new Uint8Array([1, 2, 3]));
    expect(await bytes.handOver()).toEqual(new Uint8Array([1, 2, 3]));
    expect(readHere).not.toHaveBeenCalled();
  });

  it('does so with a file of the opposing arch, too', async () => {
    const worker = playWorker({
      openOpposing: async (_scanId, bytes) => {
        const file = new Uint8Array(await (bytes as Blob).arrayBuffer());
        return transfer({ fileName: 'b.stl', unitSentence: 'As it was named.', file }, [file.buffer]);
      },
    });
    const client = makeAnalysisClient({ spawn: () => worker, onStopped: () => {} });
    const given = new NodeBlob([new Uint8Array([1, 2, 3])]) as Blob;
    const readHere = vi.spyOn(given, 'arrayBuffer');
    const bytes = bytesInFile(given);
    const options = { fileName: 'b.stl', unit: null };
    const reply = await client.openOpposing('scan-1', bytes, options, watch());
    expect(reply).toEqual({ fileName: 'b.stl', unitSentence: 'As it was named.' });
    expect(await bytes.read()).toEqual(new Uint8Array([1, 2, 3]));
    expect(readHere).not.toHaveBeenCalled();
  });

  it('starts its worker once, before it is needed, and not any more when the page was closed', async () => {
    const spawn = vi.fn(() => playWorker({ readClicks: async () => CLICKS }));
    const client = makeAnalysisClient({ spawn, onStopped: () => {} });
    client.start();
    expect(spawn).toHaveBeenCalledTimes(1);
    expect(await client.readClicks('scan-1', '{}')).toEqual(CLICKS);
    client.start();
    expect(spawn).toHaveBeenCalledTimes(1);
    client.dispose();
    client.start();
    expect(spawn).toHaveBeenCalledTimes(1);
  });

  it('brings progress back and stops the work on abort', async () => {
    expect.assertions(2);
    const worker = playWorker({
      measure: async (_scan, _clicks, _settings, port) => {
        const job = portJob(port);
        for (let i = 0; i < 10_000; i++) {
          await job.checkpoint(i / 10_000, 'measuring');
          await settle();
        }
        throw inputError('NOT_STOPPED', 'The work ran to its end.');
      },
    });
    const client = makeAnalysisClient({ spawn: () => worker, onStopped: () => {} });
    const { abort, stages, ...rest } = watch();
    const result = client.measure('scan-1', CLICKS, { limitMm: 0.1 }, rest);
    await vi.waitFor(() => {
      if (stages.length === 0) throw new Error('no progress yet');
    });
    abort.abort();
    await expect(result).rejects.toMatchObject({ code: 'CANCELLED' });
    expect(stages[0]).toBe('measuring');
  });

  it('rejects what is pending when the worker dies, tells once, and goes on with a new worker', async () => {
    expect.assertions(5);
    const first = playWorker({ plan: () => new Promise(() => {}), section: () => new Promise(() => {}) });
    const second = playWorker({ close: async () => {} });
    const workers = [first, second];
    const onStopped = vi.fn();
    const client = makeAnalysisClient({ spawn: () => workers.shift() as WorkerLike, onStopped });
    const pending = [client.plan({} as never, {} as never), client.section('scan-1', 11, 21)];
    await settle();
    first.die('out of memory');
    first.die('again');
    for (const call of pending) {
      await expect(call).rejects.toMatchObject({
        code: 'WORKER_STOPPED',
        kind: 'internal',
        details: { reason: 'out of memory' },
      });
    }
    expect(onStopped).toHaveBeenCalledTimes(1);
    await expect(client.close('scan-1')).resolves.toBeUndefined();
    expect(workers).toHaveLength(0);
  });

  it('rejects every pending call when it is disposed of, and refuses new ones', async () => {
    expect.assertions(2);
    const worker = playWorker({ close: () => new Promise(() => {}) });
    const client = makeAnalysisClient({ spawn: () => worker, onStopped: () => {} });
    const pending = client.close('scan-1');
    client.dispose();
    await expect(pending).rejects.toMatchObject({ code: 'WORKER_STOPPED' });
    await expect(client.close('scan-1')).rejects.toMatchObject({ code: 'WORKER_STOPPED' });
  });
});

describe('newest wins', () => {
  it('runs the first and the last of a burst; those between resolve to null', async () => {
    expect.assertions(2);
    const ran: number[] = [];
    const run = newestWins(async (n: number) => {
      ran.push(n);
      await settle();
      return n;
    });
    expect(await Promise.all([1, 2, 3, 4].map((n) => run(n)))).toEqual([1, null, null, 4]);
    expect(ran).toEqual([1, 4]);
  });

  it('goes on after a failure', async () => {
    expect.assertions(2);
    const run = newestWins(async (fails: boolean) => {
      if (fails) throw cancelledError();
      return 'done';
    });
    await expect(run(true)).rejects.toMatchObject({ code: 'CANCELLED' });
    expect(await run(false)).toBe('done');
  });
});

describe('a worker that hangs', () => {
  afterEach(() => void vi.useRealTimers());

  it('is given up after a minute without a sign, and the call ends with a sentence', async () => {
    vi.useFakeTimers({ toFake: ['setInterval', 'clearInterval'] });
    const stopped: string[] = [];
    let spawned = 0;
    const client = makeAnalysisClient({
      spawn: () => {
        spawned += 1;
        return playWorker({ ping: () => new Promise(() => {}), readClicks: () => new Promise(() => {}) });
      },
      onStopped: ({ code }) => stopped.push(code),
    });
    const call = client.readClicks('a', '').catch((error: unknown) => error);
    vi.advanceTimersByTime(60_000);
    expect(stopped).toEqual([]);
    vi.advanceTimersByTime(5000);
    expect(stopped).toEqual(['WORKER_SILENT']);
    expect(await call).toMatchObject({ code: 'WORKER_SILENT' });
    void client.readClicks('a', '').catch(() => {});
    expect(spawned).toBe(2);
    client.dispose();
  });

  it('that is only busy and answers between its steps is left to work', async () => {
    vi.useFakeTimers({ toFake: ['setInterval', 'clearInterval'] });
    const stopped: string[] = [];
    let finish: (set: ClickSet) => void = () => {};
    const client = makeAnalysisClient({
      spawn: () =>
        playWorker({
          ping: async () => {},
          readClicks: () =>
            new Promise((resolve) => {
              finish = resolve;
            }),
        }),
      onStopped: ({ code }) => stopped.push(code),
    });
    const call = client.readClicks('a', '');
    for (let beat = 0; beat < 40; beat++) {
      vi.advanceTimersByTime(5000);
      await settle();
    }
    finish(CLICKS);
    expect(await call).toEqual(CLICKS);
    expect(stopped).toEqual([]);
    client.dispose();
  });
});
