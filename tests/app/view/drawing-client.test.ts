import { afterEach, beforeAll, beforeEach, expect, it, vi } from 'vitest';
import { canDrawApart, type DrawingNews, openDrawing } from '../../../src/app/view/drawing-client.ts';
import type { DrawingEvent, DrawingRequest } from '../../../src/app/view/drawing-messages.ts';
import { FakeWorker, firstWorker } from './fake-worker.ts';

/** In place of what draws on the page. */
const onPage = vi.hoisted(() => ({
  isMissing: false,
  isBroken: false,
  asked: [] as string[],
  isDisposed: false,
  tell: (_: DrawingEvent): void => {},
}));
vi.mock(import('../../../src/app/view/drawing-service.ts'), async (original) => ({
  ...(await original()),
  makeDrawingService(_canvas, tell) {
    if (onPage.isBroken) throw new Error('cannot be read');
    onPage.tell = tell;
    tell({ kind: onPage.isMissing ? 'unavailable' : 'begun' });
    if (onPage.isMissing) return null;
    return {
      answer: ({ kind }) => void onPage.asked.push(kind),
      dispose: () => {
        onPage.isDisposed = true;
      },
    };
  },
}));

const OFFSCREEN = { isOffscreen: true };
const CLEAR: DrawingRequest = { kind: 'clear' };

// Its code is large: read here, it keeps no test waiting.
beforeAll(() => import('../../../src/app/view/drawing-service.ts'), 60_000);
beforeEach(() => {
  Object.assign(onPage, { isMissing: false, isBroken: false, asked: [], isDisposed: false });
  FakeWorker.made = [];
  vi.spyOn(HTMLCanvasElement.prototype, 'getContext').mockReturnValue(null);
});
afterEach(() => {
  vi.unstubAllGlobals();
  vi.restoreAllMocks();
  Reflect.deleteProperty(HTMLCanvasElement.prototype, 'transferControlToOffscreen');
});

function opened(by: 'worker' | 'page') {
  const host = document.createElement('div');
  Object.defineProperties(host, { clientWidth: { value: 300 }, clientHeight: { value: 200 } });
  const news: DrawingNews[] = [];
  const drawing = openDrawing(host, by, (one) => news.push(one));
  return { host, drawing, heard: () => news.splice(0).map((one) => ('why' in one ? one.why : one.kind)) };
}
function letWorkersDraw(): void {
  vi.stubGlobal('Worker', FakeWorker);
  Object.assign(HTMLCanvasElement.prototype, { transferControlToOffscreen: () => OFFSCREEN });
}

it('knows whether a worker may draw', () => {
  expect(canDrawApart()).toBe(false);
  letWorkersDraw();
  expect(canDrawApart()).toBe(true);
  vi.stubGlobal('Worker', undefined);
  expect(canDrawApart()).toBe(false);
});

it('hands its canvas over to a worker before it asks for anything, and what is not shared with the request', () => {
  letWorkersDraw();
  const { host, drawing, heard } = opened('worker');
  const index = Uint32Array.of(0, 1, 2);
  const shared = new Float32Array(new SharedArrayBuffer(4));
  const arrays = { position: shared, normal: shared, shade: shared, paint: new Uint8Array(4), index };
  drawing.ask({ kind: 'surface', arrays });
  const worker = firstWorker<DrawingEvent>();
  expect(worker.postMessage.mock.calls).toEqual([
    [{ kind: 'begin', canvas: OFFSCREEN }, [OFFSCREEN]],
    [{ kind: 'surface', arrays }, [arrays.paint.buffer, index.buffer]],
  ]);
  expect([...host.children]).toEqual([drawing.canvas]);
  worker.onmessage!({ data: { kind: 'begun' } });
  worker.onmessage!({ data: { kind: 'drawn' } });
  expect(heard()).toEqual(['begun', 'drawn']);
  drawing.dispose();
  expect([worker.terminate.mock.calls.length, worker.onmessage, host.children.length]).toEqual([1, null, 0]);
});

it('says why when the worker cannot draw, dies, or answers what cannot be read', () => {
  letWorkersDraw();
  const { heard } = opened('worker');
  const worker = firstWorker<DrawingEvent>();
  worker.onmessage!({ data: { kind: 'unavailable' } });
  worker.onerror!({ message: 'out of memory' });
  worker.onerror!({ message: '' });
  worker.onmessageerror!();
  expect(heard()).toEqual([
    'it has no WebGL',
    'out of memory',
    'it could not start',
    'its answer could not be read',
  ]);
});

it('says why when the browser refuses the worker at once, but not before it has been made', async () => {
  letWorkersDraw();
  vi.stubGlobal('Worker', function refuse() {
    throw new Error('no worker here');
  });
  const { drawing, heard } = opened('worker');
  expect(heard()).toEqual([]);
  drawing.ask(CLEAR);
  await Promise.resolve();
  expect(heard()).toEqual(['no worker here']);
  drawing.dispose();
  const left = opened('worker');
  left.drawing.dispose();
  await Promise.resolve();
  expect([left.heard(), left.host.children.length]).toEqual([[], 0]);
});

it('draws on the page with a canvas that has its size before its context, hidden until there is a picture', async () => {
  const sizes: unknown[] = [];
  vi.mocked(HTMLCanvasElement.prototype.getContext).mockImplementation(function (
    this: HTMLCanvasElement,
    kind: string,
  ) {
    sizes.push([kind, this.width, this.height]);
    return null;
  });
  const { host, drawing, heard } = opened('page');
  drawing.ask(CLEAR);
  await vi.waitFor(() => expect(onPage.asked).toEqual(['clear']));
  expect(sizes).toEqual([['webgl2', 300, 200]]);
  expect([host.children.length, drawing.canvas.style.visibility]).toEqual([1, 'hidden']);
  onPage.tell({ kind: 'drawn' });
  expect(drawing.canvas.style.visibility).toBe('');
  drawing.ask(CLEAR);
  expect(onPage.asked).toEqual(['clear', 'clear']);
  expect(heard()).toEqual(['begun', 'drawn']);
  drawing.dispose();
  onPage.tell({ kind: 'lost' });
  expect([heard(), onPage.isDisposed, host.children.length]).toEqual([[], true, 0]);
});

it('leaves nothing behind on a page without WebGL, and says so', async () => {
  onPage.isMissing = true;
  const { host, heard } = opened('page');
  await vi.waitFor(() => expect(heard()).toEqual(['unavailable']));
  expect(host.children).toHaveLength(0);
});

it('where it cannot be begun on the page, that is said, and not that the browser has no WebGL', async () => {
  const warned = vi.spyOn(console, 'warn').mockImplementation(() => {});
  onPage.isBroken = true;
  const { host, heard } = opened('page');
  await vi.waitFor(() => expect(warned).toHaveBeenCalledOnce());
  expect([heard(), host.children.length]).toEqual([['failed'], 0]);
});

it('makes nothing once it is disposed of', async () => {
  const { drawing, heard } = opened('page');
  drawing.dispose();
  await new Promise((resolve) => setTimeout(resolve, 50));
  expect(heard()).toEqual([]);
  expect(HTMLCanvasElement.prototype.getContext).not.toHaveBeenCalled();
});
