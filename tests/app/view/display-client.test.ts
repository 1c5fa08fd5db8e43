// @vitest-environment node
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { openDisplay } from '../../../src/app/view/display-client.ts';
import type { DisplayReply } from '../../../src/app/view/display-messages.ts';
import { FakeWorker, firstWorker } from './fake-worker.ts';
import { sphere } from './sphere.ts';

const scan = sphere(6, 5);
const labels = (tooth: number) => new Uint8Array(scan.triangles.length / 3).fill(tooth);
const LABELLED = { kind: 'labels' } as DisplayReply;

const soon = (): Promise<void> => new Promise((resolve) => setTimeout(resolve, 50));

beforeEach(() => {
  FakeWorker.made = [];
  vi.spyOn(console, 'warn').mockImplementation(() => {});
});
afterEach(() => {
  vi.unstubAllGlobals();
  vi.restoreAllMocks();
});

function opened(done: Promise<void> | null = null) {
  const replies: DisplayReply[] = [];
  const display = openDisplay(scan, (reply) => {
    replies.push(reply);
    return done;
  });
  return { replies, display, kinds: () => replies.map(({ kind }) => kind) };
}

describe('openDisplay', () => {
  it('asks the worker one thing at a time: of labels that wait only the newest count', async () => {
    vi.stubGlobal('Worker', FakeWorker);
    const { display, replies } = opened();
    const worker = firstWorker<DisplayReply>();
    const asked = () => worker.postMessage.mock.calls.map(([request]) => request.labels?.[0] ?? request.kind);
    display.setLabels(labels(11));
    display.setLabels(labels(12));
    display.setLabels(labels(13));
    expect(asked()).toEqual(['scan', 11]);
    worker.onmessage!({ data: LABELLED });
    await soon();
    expect(asked()).toEqual(['scan', 11, 13]);
    worker.onmessage!({ data: LABELLED });
    await soon();
    expect(asked()).toEqual(['scan', 11, 13]);
    expect(replies).toHaveLength(2);
    expect(console.warn).not.toHaveBeenCalled();
  });

  it('asks for other labels only when the surface bears the last ones', async () => {
    vi.stubGlobal('Worker', FakeWorker);
    let bear = (): void => {};
    const { display } = opened(
      new Promise((resolve) => {
        bear = resolve;
      }),
    );
    const worker = firstWorker<DisplayReply>();
    display.setLabels(labels(11));
    display.setLabels(labels(12));
    worker.onmessage!({ data: LABELLED });
    await soon();
    expect(worker.postMessage).toHaveBeenCalledTimes(2);
    bear();
    await soon();
    expect(worker.postMessage.mock.calls[2]?.[0].labels[0]).toBe(12);
  });

  it.each(['no workers at all', 'a worker that dies'])(
    'does the work on the page with %s, says so, and answers what was asked',
    async (how) => {
      vi.stubGlobal('Worker', how === 'a worker that dies' ? FakeWorker : undefined);
      const { display, kinds, replies } = opened();
      display.setLabels(labels(11));
      firstWorker<DisplayReply>()?.onerror?.({ message: 'blocked' });
      await soon();
      expect(kinds()).toEqual(['sight', 'surface', 'tree', 'labels']);
      expect(replies[3]).toMatchObject({ present: [11] });
      display.setLabels(labels(12));
      await soon();
      expect(replies[4]).toMatchObject({ kind: 'labels', present: [12] });
      expect(console.warn).toHaveBeenCalledOnce();
    },
  );

  it('after the death of the worker shows again the labels that had been answered', async () => {
    vi.stubGlobal('Worker', FakeWorker);
    const { display, replies } = opened();
    display.setLabels(labels(11));
    firstWorker<DisplayReply>().onmessage!({ data: LABELLED });
    firstWorker<DisplayReply>().onerror!({ message: 'out of memory' });
    await soon();
    expect(replies.at(-1)).toMatchObject({ kind: 'labels', present: [11] });
  });

  it('says nothing more once it is stopped', async () => {
    vi.stubGlobal('Worker', undefined);
    const { display, replies } = opened();
    display.stop();
    await soon();
    expect(replies).toEqual([]);
  });
});
