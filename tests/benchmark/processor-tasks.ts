import type { Browser, Page } from '@playwright/test';

interface TraceEvent {
  readonly name: string;
  readonly pid: number;
  readonly tid: number;
  /** Processor time, us. */
  readonly tdur?: number;
}

/** Tells the page's own thread among those of the trace. */
const MARK = 'archgap-bench';

/**
 * The longest task of the page's thread by its processor time, from the browser's trace of `work`: what else runs on
 * the machine, or in the browser's other processes, makes a task longer by the clock, but not by this.
 *
 * @returns milliseconds
 */
export async function longestByProcessor(
  browser: Browser,
  page: Page,
  work: () => Promise<unknown>,
): Promise<number> {
  const session = await browser.newBrowserCDPSession();
  const events: TraceEvent[] = [];
  session.on('Tracing.dataCollected', ({ value }) => {
    for (const event of value as unknown as TraceEvent[])
      if (event.name === 'RunTask' || event.name === MARK) events.push(event);
  });
  await session.send('Tracing.start', {
    transferMode: 'ReportEvents',
    traceConfig: { includedCategories: ['disabled-by-default-devtools.timeline', 'blink.user_timing'] },
  });
  await page.evaluate((name) => void performance.mark(name), MARK);
  await work();
  const complete = new Promise<void>((done) => session.once('Tracing.tracingComplete', () => done()));
  await session.send('Tracing.end');
  await complete;
  await session.detach();
  const own = events.find(({ name }) => name === MARK);
  if (own === undefined) throw new Error('The trace of the browser does not name the thread of the page.');
  const tasks = events.filter(
    ({ name, pid, tid }) => name === 'RunTask' && pid === own.pid && tid === own.tid,
  );
  const times = tasks.map(({ tdur }) => tdur).filter((tdur) => tdur !== undefined);
  if (times.length === 0) throw new Error('The trace of the browser has no processor time of the page.');
  return Math.max(...times) / 1000;
}
