import { createRoot } from 'solid-js';
import { afterEach, expect, it, vi } from 'vitest';
import { createSize } from '../../../src/app/view/create-size.ts';
import { nextTurn } from '../../../src/geometry/next-turn.ts';

afterEach(() => void vi.unstubAllGlobals());

it('is null until the element is laid out, then the newest of its sizes', async () => {
  let resize: (widthPx: number) => void = () => {};
  vi.stubGlobal(
    'ResizeObserver',
    class {
      constructor(tell: (entries: { contentRect: { width: number; height: number } }[]) => void) {
        resize = (width) => tell([{ contentRect: { width, height: 240 } }]);
      }
      observe() {}
      disconnect() {}
    },
  );
  await createRoot(async (end) => {
    const size = createSize(() => ({}) as Element, { widthPx: 1, heightPx: 1 });
    await nextTurn();
    resize(0);
    expect(size()).toBeNull();
    resize(300);
    resize(900.4);
    await nextTurn();
    expect(size()).toEqual({ widthPx: 900, heightPx: 240 });
    resize(500);
    expect(size()).toEqual({ widthPx: 500, heightPx: 240 });
    end();
  });
});
