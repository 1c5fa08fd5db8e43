import { test as base, expect, type Page } from '@playwright/test';
import { drawingWorker, inEveryDrawingWorker } from '../helpers/drawing-worker.ts';

export { expect };

interface Watch {
  /** What a test brings about on purpose may be on the console, everything else fails it; null = nothing. */
  readonly expectedComplaint: RegExp | null;
  /** Whether the graphics driver draws: a slow business by software, and for nothing where nobody looks at the scan. */
  readonly drawn: boolean;
  readonly watched: undefined;
}

/** The graphics driver of the tests speaks on the console about its own speed. */
const OF_THE_DRIVER = /GL Driver Message|GPU stall due to ReadPixels/;

declare global {
  /** In the worker that draws: how its picture is taken away and given back. */
  var losing: WEBGL_lose_context | null | undefined;
}

/** Everything is prepared for the driver as always, but it draws no triangle. */
function swallowDrawing() {
  const driver = WebGL2RenderingContext.prototype;
  for (const call of ['drawArrays', 'drawElements', 'drawArraysInstanced', 'drawElementsInstanced'] as const)
    driver[call] = function (this: WebGL2RenderingContext) {
      globalThis.losing ??= this.getExtension('WEBGL_lose_context');
    };
}

/** As the graphics card does to a page that has drawn already. */
export async function losePicture(page: Page, what: 'loseContext' | 'restoreContext') {
  const worker = await drawingWorker(page);
  await expect.poll(() => worker.evaluate(() => globalThis.losing !== undefined)).toBe(true);
  await worker.evaluate((name) => globalThis.losing?.[name](), what);
}

/**
 * Every browser test: fails on an error that nobody caught, on an error on the console, and on a request to another
 * origin, in whatever page or worker of its context it comes.
 */
export const test = base.extend<Watch>({
  expectedComplaint: [null, { option: true }],
  drawn: [false, { option: true }],
  watched: [
    async ({ context, baseURL, expectedComplaint, drawn }, use) => {
      if (!drawn) inEveryDrawingWorker(context, swallowDrawing);
      const complaints: string[] = [];
      const outside: string[] = [];
      const isOwn = (url: URL) => url.origin === new URL(baseURL!).origin || url.hostname === '127.0.0.1';
      context.on('weberror', (error) => complaints.push(`not caught: ${error.error().stack}`));
      context.on('console', (message) => {
        if (message.type() === 'error') complaints.push(`console: ${message.text()}`);
      });
      context.on('request', (request) => {
        const url = new URL(request.url());
        if (/^(http|ws)/.test(url.protocol) && !isOwn(url)) outside.push(request.url());
      });
      await use(undefined);
      const unexpected = complaints.filter(
        (one) => !OF_THE_DRIVER.test(one) && !expectedComplaint?.test(one),
      );
      expect(unexpected, 'errors of the page').toEqual([]);
      expect(outside, 'requests outside the origin').toEqual([]);
    },
    { auto: true },
  ],
});
