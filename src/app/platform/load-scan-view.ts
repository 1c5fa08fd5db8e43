/** The view of the scan and three.js with it: a part of the page of its own, fetched once. */
export const loadScanView = () => import('../view/ScanViewPane.tsx');

/** Fetches it while the page has nothing else to do, so that the first scan need not wait for it. */
export function preloadScanView(): void {
  // A failure is told when the view is needed and fetched again.
  const load = () => void loadScanView().catch(() => {});
  if ('requestIdleCallback' in window) window.requestIdleCallback(load, { timeout: 3000 });
  else setTimeout(load, 500);
}
