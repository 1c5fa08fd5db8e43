import type { Page } from '@playwright/test';

declare global {
  interface Window {
    longTasks: number[];
  }
}

/** Runs in the page before anything else: keeps the browser's own record of tasks over 50 ms. */
export function recordLongTasks(): void {
  window.longTasks = [];
  new PerformanceObserver((list) => {
    for (const { duration } of list.getEntries()) window.longTasks.push(Math.round(duration));
  }).observe({ type: 'longtask', buffered: true });
}

/** Of the page's thread, ms, since the last time they were taken. */
export const takeLongTasks = (page: Page): Promise<number[]> =>
  page.evaluate(() => window.longTasks.splice(0));
