// @vitest-environment node
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { requestDisplay } from '../../../src/app/view/display-client.ts';
import type { DisplayReply } from '../../../src/app/view/display-messages.ts';

const request = {
  positions: Float32Array.of(0, 0, 0, 1, 0, 0, 0, 1, 0, 1, 1, 0),
  normals: Float32Array.of(0, 0, 1, 0, 0, 1, 0, 0, 1, 0, 0, 1),
  triangles: Uint32Array.of(0, 1, 2, 1, 3, 2),
};

class FakeWorker {
  static made: FakeWorker[] = [];
  onmessage: ((event: { data: DisplayReply }) => void) | null = null;
  onerror: ((event: { message: string }) => void) | null = null;
  onmessageerror: (() => void) | null = null;
  readonly postMessage = vi.fn();
  readonly terminate = vi.fn();
  constructor() {
    FakeWorker.made.push(this);
  }
}

const kinds = (replies: DisplayReply[]): string[] => replies.map((r) => r.kind);
const soon = (): Promise<void> => new Promise((resolve) => setTimeout(resolve, 20));

beforeEach(() => {
  FakeWorker.made = [];
  vi.spyOn(console, 'warn').mockImplementation(() => {});
});
afterEach(() => {
  vi.unstubAllGlobals();
  vi.restoreAllMocks();
});

describe('requestDisplay', () => {
  it('passes on what the worker answers, and ends it after the last answer', () => {
    vi.stubGlobal('Worker', FakeWorker);
    const replies: DisplayReply[] = [];
    requestDisplay(request, (r) => replies.push(r));
    const worker = FakeWorker.made[0]!;
    expect(worker.postMessage).toHaveBeenCalledWith(request);
    worker.onmessage!({ data: { kind: 'shade', shade: new Float32Array(4) } });
    expect(worker.terminate).not.toHaveBeenCalled();
    worker.onmessage!({ data: { kind: 'tree', tree: { roots: [], indirect: new Uint32Array(2) } } });
    expect(worker.terminate).toHaveBeenCalledOnce();
    expect(kinds(replies)).toEqual(['shade', 'tree']);
    expect(console.warn).not.toHaveBeenCalled();
  });

  it.each(['no workers at all', 'a worker that dies'])(
    'does the work on the page with %s, and says so',
    async (how) => {
      vi.stubGlobal('Worker', how === 'a worker that dies' ? FakeWorker : undefined);
      const replies: DisplayReply[] = [];
      requestDisplay(request, (r) => replies.push(r));
      FakeWorker.made[0]?.onerror?.({ message: 'blocked' });
      await soon();
      expect(kinds(replies)).toEqual(['shade', 'tree']);
      expect(console.warn).toHaveBeenCalledOnce();
    },
  );

  it('says nothing more once it is stopped', async () => {
    vi.stubGlobal('Worker', undefined);
    const replies: DisplayReply[] = [];
    requestDisplay(request, (r) => replies.push(r))();
    await soon();
    expect(replies).toEqual([]);
  });
});
