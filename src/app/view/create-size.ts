import { type Accessor, createSignal, onCleanup, onMount } from 'solid-js';
import { nextTurn } from '../../geometry/next-turn.ts';

export interface BoxSize {
  readonly widthPx: number;
  readonly heightPx: number;
}

/**
 * Follows the content size of an element.
 *
 * @param element - asked once, when mounted
 * @param unseen - where nothing is ever laid out
 * @returns null until the element is laid out: what is costly to draw is not drawn for a guess first
 */
export function createSize(element: () => Element, unseen: BoxSize): Accessor<BoxSize | null> {
  if (typeof ResizeObserver === 'undefined') return () => unseen;
  const [size, setSize] = createSignal<BoxSize | null>(null);
  let newest: BoxSize | null = null;
  onMount(() => {
    const watcher = new ResizeObserver((entries) => {
      const box = entries.at(-1)!.contentRect;
      if (box.width === 0) return;
      newest = { widthPx: Math.round(box.width), heightPx: Math.round(box.height) };
      // The first time in a task after the frame that laid the element out, with all that came beside it.
      if (size() === null) void nextTurn().then(() => setSize(newest));
      else setSize(newest);
    });
    watcher.observe(element());
    onCleanup(() => watcher.disconnect());
  });
  return size;
}
