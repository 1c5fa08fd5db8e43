import { nextTurn } from '../../geometry/next-turn.ts';
import { wakeGraphics } from './wake-graphics.ts';

/** The view of the scan and three.js with it: a part of the page of its own, fetched once. */
export async function loadScanView() {
  // Each part of its code is run in a task of its own, and so is what is made with it.
  await import('../view/picker.ts');
  await nextTurn();
  const view = await import('../view/ScanViewPane.tsx');
  await nextTurn();
  return view;
}

let fetching: Promise<unknown> = Promise.resolve();

/** Fetches it and wakes what it draws with, so that the first scan need not wait for either. */
export function preloadScanView(): void {
  // A failure is told when the view is needed and fetched again.
  fetching = loadScanView().catch(() => {});
  wakeGraphics();
}

/** Resolves when what `preloadScanView` was the last to ask for is here or has failed; at once where it was not called. */
export async function preloaded(): Promise<void> {
  await fetching;
}
