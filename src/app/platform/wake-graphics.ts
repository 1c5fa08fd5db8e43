let isAsked = false;

/**
 * Has the browser set up what it draws with, by a worker that ends at once: with the first context of a page that takes
 * most of a second on slow machines, for which the page would stand still. Where it fails, the page waits as it would
 * have without it.
 */
export function wakeGraphics(): void {
  if (isAsked) return;
  isAsked = true;
  try {
    new Worker(new URL('./wake-graphics-worker.ts', import.meta.url), { type: 'module' });
  } catch (cause) {
    console.warn('The browser could not be woken to draw.', cause);
  }
}
