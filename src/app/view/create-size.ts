import { type Accessor, createSignal, onCleanup, onMount } from 'solid-js';

export interface BoxSize {
  readonly widthPx: number;
  readonly heightPx: number;
}

/**
 * Follows the content size of an element.
 *
 * @param element - asked once, when mounted
 * @param start - before the element is laid out, and where nothing is ever laid out
 */
export function createSize(element: () => Element, start: BoxSize): Accessor<BoxSize> {
  const [size, setSize] = createSignal(start);
  onMount(() => {
    if (typeof ResizeObserver === 'undefined') return;
    const watcher = new ResizeObserver((entries) => {
      const box = entries.at(-1)!.contentRect;
      if (box.width > 0) setSize({ widthPx: Math.round(box.width), heightPx: Math.round(box.height) });
    });
    watcher.observe(element());
    onCleanup(() => watcher.disconnect());
  });
  return size;
}
