import { vi } from 'vitest';

let frame: ((now: number) => void) | null = null;

/** The page is shown when the test says so. To be taken back with `vi.unstubAllGlobals`. */
export function holdFrames(): void {
  frame = null;
  vi.stubGlobal('requestAnimationFrame', (step: (now: number) => void) => {
    frame = step;
    return 1;
  });
  vi.stubGlobal('cancelAnimationFrame', () => {
    frame = null;
  });
}

/** The page is about to be shown. */
export function showPage(): void {
  const step = frame;
  frame = null;
  step?.(0);
}
