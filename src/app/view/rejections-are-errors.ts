/**
 * In a worker: a fault in what nobody waits for reaches the page as the worker's error. By itself it would not, and the
 * page would wait for an answer for good.
 */
export function rejectionsAreErrors(): void {
  self.addEventListener('unhandledrejection', ({ reason }) => {
    throw reason;
  });
}
