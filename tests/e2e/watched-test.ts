import { test as base, expect } from '@playwright/test';

export { expect };

interface Watch {
  /** What a test brings about on purpose may be on the console, everything else fails it; null = nothing. */
  readonly expectedComplaint: RegExp | null;
  readonly watched: undefined;
}

/** The graphics driver of the tests speaks on the console about its own speed. */
const OF_THE_DRIVER = /GL Driver Message|GPU stall due to ReadPixels/;

/**
 * Every browser test: fails on an error that nobody caught, on an error on the console, and on a request to another
 * origin, in whatever page or worker of its context it comes.
 */
export const test = base.extend<Watch>({
  expectedComplaint: [null, { option: true }],
  watched: [
    async ({ context, baseURL, expectedComplaint }, use) => {
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
