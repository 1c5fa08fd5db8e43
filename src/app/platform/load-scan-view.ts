/** The view of the scan and three.js with it: a part of the page of its own, fetched once. */
export const loadScanView = () => import('../view/ScanViewPane.tsx');

/** Signs that somebody is there who may open a scan. */
const SIGNS = ['pointermove', 'pointerdown', 'keydown', 'dragenter'] as const;

/** Fetches it at the first sign of a user, so that the first scan need not wait for it, nor a page that is only looked up. */
export function preloadScanView(): void {
  const seen = new AbortController();
  const load = () => {
    seen.abort();
    // A failure is told when the view is needed and fetched again.
    void loadScanView().catch(() => {});
  };
  for (const sign of SIGNS) window.addEventListener(sign, load, { passive: true, signal: seen.signal });
}
