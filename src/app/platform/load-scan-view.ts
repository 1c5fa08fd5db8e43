import { nextTurn } from '../../geometry/next-turn.ts';
import { atFirstSign } from './at-first-sign.ts';

/** The view of the scan and three.js with it: a part of the page of its own, fetched once. */
export async function loadScanView() {
  const view = await import('../view/ScanViewPane.tsx');
  // Its code has just been run: what is made with it is made in a task of its own.
  await nextTurn();
  return view;
}

/** Fetches it at the first sign of a user, so that the first scan need not wait for it, nor a page that is only looked up. */
export function preloadScanView(): void {
  // A failure is told when the view is needed and fetched again.
  atFirstSign(() => void loadScanView().catch(() => {}));
}
