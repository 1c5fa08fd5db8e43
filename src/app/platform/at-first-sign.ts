/** Signs that somebody is there who may open a scan. */
const SIGNS = ['pointermove', 'pointerdown', 'keydown', 'dragenter'] as const;

/** Does something once, at the first sign of a user: what a page that is only looked up does without. */
export function atFirstSign(act: () => void): void {
  const seen = new AbortController();
  const once = () => {
    seen.abort();
    act();
  };
  for (const sign of SIGNS) window.addEventListener(sign, once, { passive: true, signal: seen.signal });
}
