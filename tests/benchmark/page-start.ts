import { readFileSync } from 'node:fs';
import { gzipSync } from 'node:zlib';
import type { Browser } from '@playwright/test';
import { recordLongTasks, takeLongTasks } from './long-tasks.ts';

interface OneStart {
  /** From the navigation to the page's first answer to the keyboard and mouse, ms. */
  readonly interactiveMs: number;
  /** Of the page's thread, over 50 ms, until it is idle. */
  readonly longTasksMs: readonly number[];
  /** Fetched until it was interactive, gzip. */
  readonly bytes: number;
  /** Fetched later while nothing was done, gzip: what the first scan needs. */
  readonly idleBytes: number;
}

/** The start that took the middle time of several. */
export interface PageStart extends OneStart {
  /** Of all of them, rising. */
  readonly allMs: readonly number[];
}

/** How often the start is timed; the first one, for which the browser itself is not ready yet, does not count. */
const STARTS = 7;
/** A page that nobody touches has fetched by then what it fetches. */
const IDLE_MS = 4500;
const ANSWERS = 'archgap-answers-ms';

/**
 * Runs in the page before anything else and says on the console when the button of the first sight stands in a frame
 * that has been drawn and the page's thread is free for what the user does. The page says so itself: a test driver that
 * asks for the button puts a third of a megabyte of its own script into the page, and asks only every half second.
 */
function sayWhenItAnswers(message: string): void {
  const look = (): void => {
    const button = document.querySelector<HTMLButtonElement>('.welcome button.primary');
    if (button === null || button.disabled) return;
    watcher.disconnect();
    requestAnimationFrame(() => setTimeout(() => console.debug(message, performance.now())));
  };
  const watcher = new MutationObserver(look);
  watcher.observe(document, { childList: true, subtree: true });
}

/** As a browser that keeps no page for later; its worker fetches everything once more. Runs before anything else. */
function refuseServiceWorker(): void {
  ServiceWorkerContainer.prototype.register = () => Promise.reject(new DOMException('', 'SecurityError'));
}

async function timeOneStart(browser: Browser, url: string): Promise<OneStart> {
  const context = await browser.newContext();
  const page = await context.newPage();
  page.on('pageerror', (error) => process.stderr.write(`${error.stack}\n`));
  await page.addInitScript(refuseServiceWorker);
  await page.addInitScript(recordLongTasks);
  await page.addInitScript(sayWhenItAnswers, ANSWERS);
  const urls: string[] = [];
  page.on('response', (response) => urls.push(response.url()));
  const answers = page.waitForEvent('console', (message) => message.text().startsWith(ANSWERS));
  await page.goto(url, { waitUntil: 'commit' });
  const interactiveMs = Number((await answers).text().slice(ANSWERS.length));
  const bytes = urls.splice(0).reduce((sum, one) => sum + gzipOf(one), 0);
  await page.waitForTimeout(IDLE_MS);
  const idleBytes = urls.reduce((sum, one) => sum + gzipOf(one), 0);
  const longTasksMs = await takeLongTasks(page);
  // What was timed is what it is taken for: a button that a user could press.
  await page.getByRole('button', { name: 'Open the demo case' }).first().click({ trial: true });
  await context.close();
  return { interactiveMs, longTasksMs, bytes, idleBytes };
}

const gzipOf = (url: string): number =>
  gzipSync(readFileSync(`dist${new URL(url).pathname.replace(/\/$/, '/index.html')}`)).length;

/** The start that took the middle time of several. */
export async function timeStart(browser: Browser, url: string): Promise<PageStart> {
  await timeOneStart(browser, url);
  const all: OneStart[] = [];
  for (let i = 0; i < STARTS; i++) all.push(await timeOneStart(browser, url));
  all.sort((a, b) => a.interactiveMs - b.interactiveMs);
  return { ...all[STARTS >> 1]!, allMs: all.map(({ interactiveMs }) => interactiveMs) };
}
