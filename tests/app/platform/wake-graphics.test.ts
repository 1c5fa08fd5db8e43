import { afterEach, beforeEach, expect, it, vi } from 'vitest';

const started: string[] = [];
beforeEach(() => {
  vi.resetModules();
  started.length = 0;
  vi.stubGlobal(
    'Worker',
    class {
      constructor(url: URL) {
        started.push(url.href.replace(/^.*\//, ''));
      }
    },
  );
});
afterEach(() => {
  vi.unstubAllGlobals();
});

it('starts its worker once, however often it is asked', async () => {
  const { wakeGraphics } = await import('../../../src/app/platform/wake-graphics.ts');
  expect(started).toEqual([]);
  wakeGraphics();
  wakeGraphics();
  expect(started).toEqual([expect.stringContaining('wake-graphics-worker')]);
});

it('lets the page go on where the browser refuses a worker', async () => {
  vi.stubGlobal('Worker', function refuse() {
    throw new Error('no worker here');
  });
  const warned = vi.spyOn(console, 'warn').mockImplementation(() => {});
  const { wakeGraphics } = await import('../../../src/app/platform/wake-graphics.ts');
  expect(wakeGraphics).not.toThrow();
  expect(warned).toHaveBeenCalledOnce();
});

it('asks for a context, gives it back and ends', async () => {
  const told: string[] = [];
  const lose = { loseContext: () => told.push('lost') };
  vi.stubGlobal(
    'OffscreenCanvas',
    class {
      getContext(kind: string) {
        told.push(kind);
        return { getExtension: () => lose };
      }
    },
  );
  vi.stubGlobal('self', { close: () => told.push('closed') });
  await import('../../../src/app/platform/wake-graphics-worker.ts');
  expect(told).toEqual(['webgl2', 'lost', 'closed']);
});

it('ends where there is no WebGL', async () => {
  const close = vi.fn();
  vi.stubGlobal(
    'OffscreenCanvas',
    class {
      getContext = () => null;
    },
  );
  vi.stubGlobal('self', { close });
  await import('../../../src/app/platform/wake-graphics-worker.ts');
  expect(close).toHaveBeenCalledOnce();
});
