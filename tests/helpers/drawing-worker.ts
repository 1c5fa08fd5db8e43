import type { BrowserContext, Page, Worker } from '@playwright/test';

/** The worker that draws the scan of this page, once it is there. */
export async function drawingWorker(page: Page): Promise<Worker> {
  const isThat = (one: Worker): boolean => /\/drawing-worker-/.test(one.url());
  return page.workers().find(isThat) ?? (await page.waitForEvent('worker', { predicate: isThat }));
}

/** Does `act` in every worker of these pages that begins to draw: scripts given to a context do not reach workers. */
export function inEveryDrawingWorker(context: BrowserContext, act: () => void): void {
  context.on('page', (page) =>
    page.on('worker', (worker) => {
      // One that has ended by then draws nothing.
      if (/\/drawing-worker-/.test(worker.url())) worker.evaluate(act).catch(() => {});
    }),
  );
}
