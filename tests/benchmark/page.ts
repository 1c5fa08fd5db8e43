import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { type Browser, chromium, type Page } from '@playwright/test';
import { Command } from 'commander';
import config from '../../playwright.config.ts';
import { columns, textTable } from '../evaluation/text-table.ts';
import { drawingWorker, inEveryDrawingWorker } from '../helpers/drawing-worker.ts';
import { serveBuilt } from '../helpers/serve-built.ts';
import { archFiles, archStl, SIZES } from './arch-files.ts';
import { recordLongTasks, takeLongTasks } from './long-tasks.ts';
import { besideJson, loadAverage, machineFacts } from './machine.ts';
import { type PageStart, timeStart } from './page-start.ts';
import { longestByProcessor } from './processor-tasks.ts';

/*
 * npm run bench:page -- [--large] [--sizes plain,1000000] [--trace] [--json FILE]
 *
 * The built page in headless Chromium: what it fetches and how soon it answers, and for each size of scan the whole
 * job with the browser's own record of tasks over 50 ms on the page's thread. Nothing is asserted.
 *
 * Here is no graphics card: a frame is drawn by the processor, on the cores that the page and its workers need. So that
 * the figures are theirs, draw calls are swallowed during the job (everything else of WebGL, uploads included, is done);
 * afterwards the scan is turned with drawing on, and that frame time is the processor's.
 */

/** One piece of the job as the page went through it. */
interface Part {
  readonly name: string;
  readonly wallMs: number;
  /** Tasks of the page's thread over 50 ms, ms. */
  readonly longTasksMs: readonly number[];
  /** Its longest task by processor time, ms; null without a trace. */
  readonly longestMs: number | null;
  /** Highest memory of the page's process so far, as `PageMemory`. */
  readonly peakMb: number;
}

interface PageSize {
  readonly triangles: number;
  readonly stlBytes: number;
  readonly parts: readonly Part[];
  /** Median time between two frames while the scan is turned, ms. */
  readonly frameMs: number;
  /** Memory of the page's process before a scan is opened: its part of the browser's own, and the program. */
  readonly emptyMb: number;
  /** Highest memory of that process, its workers among it. */
  readonly peakMb: number;
  /** What is alive in it after the job, as the browser tells it; shared memory counts with each that holds it. */
  readonly held: readonly Held[];
}

interface Held {
  readonly owner: string;
  readonly mb: number;
}

const JOB_TIMEOUT_MS = 120_000;
const SETTLE_MS = 1500;
const FRAMES = 9;

declare global {
  interface Window {
    /** The worker that draws the scan. */
    drawing: Worker;
  }
  /** In that worker: draw calls do something. */
  var draws: boolean;
}

/** Runs in the page before anything else. */
function keepDrawingWorker(): void {
  window.Worker = class extends Worker {
    constructor(url: string | URL, options?: WorkerOptions) {
      super(url, options);
      if (/\/drawing-worker-/.test(String(url))) window.drawing = this;
    }
  };
}

/** Runs in the worker that draws. Once `draws` is set, a picture is told to be there only when the last pixel is. */
function swallowDrawing(): void {
  globalThis.draws = false;
  const driver = WebGL2RenderingContext.prototype;
  const { drawElements, drawElementsInstanced } = driver;
  let gl: WebGL2RenderingContext | null = null;
  driver.drawElements = function (...call) {
    gl = this;
    if (globalThis.draws) drawElements.apply(this, call);
  };
  driver.drawElementsInstanced = function (...call) {
    if (globalThis.draws) drawElementsInstanced.apply(this, call);
  };
  const tell = globalThis.postMessage.bind(globalThis) as (message: { kind: string }) => void;
  globalThis.postMessage = (message: { kind: string }) => {
    if (globalThis.draws && message.kind === 'drawn')
      gl?.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, new Uint8Array(4));
    tell(message);
  };
}

async function part(
  browser: Browser,
  trace: boolean,
  page: Page,
  name: string,
  work: () => Promise<unknown>,
): Promise<Part> {
  await takeLongTasks(page);
  let wallMs = 0;
  const timed = async (): Promise<void> => {
    const start = performance.now();
    await work();
    wallMs = performance.now() - start;
    // What the work leaves behind (saving, drawing) counts, too.
    await page.waitForTimeout(SETTLE_MS);
  };
  const longestMs = trace ? await longestByProcessor(browser, page, timed) : null;
  if (!trace) await timed();
  const peakMb = (await pageMemory(browser)).highestMb;
  const longTasksMs = await takeLongTasks(page);
  process.stderr.write(
    `${name}: ${wallMs.toFixed(0)} ms; over 50 ms: ${longTasksMs.join(', ') || 'none'}; ${peakMb.toFixed(0)} MB\n`,
  );
  return { name, wallMs, longTasksMs, longestMs, peakMb };
}

/**
 * What the page's process takes, MB of 2^20 bytes: resident memory, of which what it shares with other processes (the
 * browser's program above all) counts by the part that falls to it (PSS of Linux). The page and its workers are one
 * process.
 */
interface PageMemory {
  readonly nowMb: number;
  /** Until now: the highest resident memory less what is counted with others now. */
  readonly highestMb: number;
}

/** Of the renderer with the most of it (Linux only). */
async function pageMemory(browser: Browser): Promise<PageMemory> {
  const session = await browser.newBrowserCDPSession();
  const { processInfo } = await session.send('SystemInfo.getProcessInfo');
  await session.detach();
  const ofProcess = (id: number): PageMemory => {
    const mb = (file: string, field: string): number =>
      Number(new RegExp(`^${field}:\\s*(\\d+)`, 'm').exec(readFileSync(`/proc/${id}/${file}`, 'utf8'))?.[1]) /
      1024;
    const nowMb = mb('smaps_rollup', 'Pss');
    return { nowMb, highestMb: mb('status', 'VmHWM') - mb('smaps_rollup', 'Rss') + nowMb };
  };
  const all = processInfo.filter(({ type }) => type === 'renderer').map(({ id }) => ofProcess(id));
  return all.reduce((most, one) => (one.highestMb > most.highestMb ? one : most));
}

/** The browser clears up for this, so it comes last. */
async function heldMemory(page: Page): Promise<Held[]> {
  const parts = await page.evaluate(async () => {
    const measurable = performance as unknown as {
      measureUserAgentSpecificMemory(): Promise<{
        breakdown: { bytes: number; types: string[]; attribution: { scope: string; url: string }[] }[];
      }>;
    };
    const { breakdown } = await measurable.measureUserAgentSpecificMemory();
    return breakdown.map(({ bytes, types, attribution }) => ({
      bytes,
      owner: attribution.map(({ scope, url }) => (scope === 'Window' ? 'page' : url)).join() || 'browser',
      types: types.join(),
    }));
  });
  return parts
    .filter(({ bytes }) => bytes > 1e6)
    .map(({ bytes, owner, types }) => ({
      owner: `${owner.replace(/^.*\/|-[\w-]{8}\.js$/g, '')}: ${types}`,
      mb: bytes / 2 ** 20,
    }))
    .sort((a, b) => b.mb - a.mb);
}

/** Milliseconds between frames while the scan turns by a key that is held down. */
async function turnTimeMs(page: Page): Promise<number> {
  await page.locator('.scan-view-host').focus();
  const between: number[] = [];
  for (let i = 0; i < FRAMES; i++) {
    between.push(
      await page.evaluate(
        () =>
          new Promise<number>((done) => {
            const host = document.querySelector<HTMLElement>('.scan-view-host')!;
            const start = performance.now();
            host.dispatchEvent(new KeyboardEvent('keydown', { key: 'ArrowLeft', bubbles: true }));
            window.drawing.addEventListener('message', function drawn({ data }: MessageEvent) {
              if (data.kind !== 'drawn') return;
              window.drawing.removeEventListener('message', drawn);
              done(performance.now() - start);
            });
          }),
      ),
    );
  }
  return between.toSorted((a, b) => a - b)[FRAMES >> 1]!;
}

async function timeSize(
  browser: Browser,
  url: string,
  triangles: number | null,
  folder: string,
  trace: boolean,
): Promise<PageSize> {
  const files = archFiles();
  const stl = await archStl(files, triangles);
  const scanFile = join(folder, `arch-${triangles ?? 'plain'}.stl`);
  writeFileSync(scanFile, stl);
  const context = await browser.newContext({
    viewport: { width: 1440, height: 900 },
    reducedMotion: 'reduce',
  });
  inEveryDrawingWorker(context, swallowDrawing);
  const page = await context.newPage();
  page.setDefaultTimeout(JOB_TIMEOUT_MS);
  page.on('pageerror', (error) => process.stderr.write(`${error.stack}\n`));
  page.on('console', (message) => {
    if (message.type() === 'error') process.stderr.write(`${message.text()}\n`);
  });
  await page.addInitScript(recordLongTasks);
  await page.addInitScript(keepDrawingWorker);
  await page.goto(url);
  await page.waitForTimeout(2 * SETTLE_MS);
  const emptyMb = (await pageMemory(browser)).nowMb;
  const picker = page.locator('input[type=file][multiple]').first();
  const give = async (paths: string[]): Promise<void> => {
    const scanSection = page.getByRole('button', { name: /^(\d )?Scan\b/ }).first();
    if ((await picker.count()) === 0) await scanSection.click();
    await picker.setInputFiles(paths);
  };
  // By a selector of the browser: what reads all text of the page would be in the record of its tasks and memory.
  const answered = () => page.locator('.contact-table tbody tr').first().waitFor();
  const idle = () =>
    page.waitForFunction(() => document.querySelector('progress, .job-line:not([hidden])') === null);
  /** Under the clicks of this moment. */
  const measuredAnew = async () => {
    await page.locator('.stage-plot[data-old="true"]').waitFor();
    await page.locator('.stage-plot[data-old="false"]').waitFor();
    await answered();
    await idle();
  };
  const pins = page.locator('button.scan-view-pin');
  const parts: Part[] = [];
  const go = async (name: string, work: () => Promise<unknown>): Promise<void> => {
    const one = await part(browser, trace, page, name, work);
    // What is counted with other processes differs a little from part to part; the highest so far does not fall.
    parts.push({ ...one, peakMb: Math.max(one.peakMb, parts.at(-1)?.peakMb ?? 0) });
  };
  await go('open the scan', async () => {
    await give([scanFile]);
    await page.locator('.scan-view-tools').waitFor();
  });
  await go('prepare picking and grooves', () => page.waitForTimeout(3 * SETTLE_MS));
  await go('all clicks at once, to the table', async () => {
    await give([files.clicks]);
    await answered();
    await idle();
  });
  const count = await pins.count();
  await go('take a click back, to the table', async () => {
    await page.keyboard.press('t');
    await pins.nth(3).focus();
    await page.keyboard.press('Delete');
    await page.waitForFunction((n) => document.querySelectorAll('button.scan-view-pin').length < n, count);
    await measuredAnew();
  });
  await go('click it again, to the table', async () => {
    await page.keyboard.press('Control+z');
    await page.waitForFunction((n) => document.querySelectorAll('button.scan-view-pin').length === n, count);
    await measuredAnew();
  });
  await (await drawingWorker(page)).evaluate(() => {
    globalThis.draws = true;
  });
  const frameMs = await turnTimeMs(page);
  const peakMb = Math.max((await pageMemory(browser)).highestMb, parts.at(-1)!.peakMb);
  mkdirSync('.artefacts', { recursive: true });
  await page.screenshot({ path: `.artefacts/bench-page-${triangles ?? 'plain'}.png` });
  const held = await heldMemory(page);
  await context.close();
  return { triangles: (stl.length - 84) / 50, stlBytes: stl.length, parts, frameMs, emptyMb, peakMb, held };
}

/** With the file in MB of 2^20 bytes, as the memory. */
function memoryRows({ stlBytes, emptyMb, peakMb, held }: PageSize): string[] {
  const fileMb = stlBytes / 2 ** 20;
  const times = (mb: number): string => `${mb.toFixed(0)} MB (${(mb / fileMb).toFixed(1)})`;
  return [
    `highest memory ${times(peakMb)}`,
    `of it above the empty page's ${emptyMb.toFixed(0)} MB: ${times(peakMb - emptyMb)}`,
    `alive after it: ${held.map(({ owner, mb }) => `${owner} ${mb.toFixed(0)}`).join(', ')}`,
  ];
}

function tableOf(start: PageStart, sizes: readonly PageSize[]): string {
  const kb = (bytes: number): string => `${(bytes / 1000).toFixed(0)} kB`;
  const tasks = (ms: readonly number[]): string => (ms.length === 0 ? 'none' : ms.join(', '));
  const all = start.allMs.map((ms) => ms.toFixed(0));
  const head =
    `Interactive after ${start.interactiveMs.toFixed(0)} ms (${all.length} starts: ${all.join(', ')}) with ${kb(start.bytes)} (gzip), ` +
    `${kb(start.idleBytes)} more when idle; tasks over 50 ms: ${tasks(start.longTasksMs)}\n`;
  const rows = sizes.flatMap((size) => [
    ...size.parts.map((one) => [
      `${size.triangles}`,
      one.name,
      one.wallMs.toFixed(0),
      tasks(one.longTasksMs),
      one.longestMs?.toFixed(0) ?? null,
      one.peakMb.toFixed(0),
    ]),
    [
      `${size.triangles}`,
      'a frame while turning',
      size.frameMs.toFixed(0),
      null,
      null,
      size.peakMb.toFixed(0),
    ],
    ...memoryRows(size).map((words) => [`${size.triangles}`, words, null, null, null, null]),
  ]);
  return `${head}\n${textTable(columns('triangles', '<part', 'ms', '<tasks over 50 ms', 'longest, processor ms', 'MB'), rows)}`;
}

interface PageOptions {
  readonly sizes: string;
  readonly large?: boolean;
  readonly trace?: boolean;
  readonly json: string;
}

const program = new Command('bench:page');
program
  .option('--sizes <triangles>', 'numbers separated by commas; "plain" is the arch as it is', 'plain,1000000')
  .option('--large', 'also five million triangles')
  .option('--trace', 'also the longest task by processor time; the trace takes memory of its own')
  .option('--json <file>', 'where the figures go', '.artefacts/bench-page.json')
  .action(async ({ sizes, large, trace = false, json }: PageOptions) => {
    const loadBefore = loadAverage();
    const folder = mkdtempSync(join(tmpdir(), 'archgap-page-'));
    const { server, url } = await serveBuilt();
    const launch = () => chromium.launch(config.use?.launchOptions);
    try {
      const first = await launch();
      const start = await timeStart(first, url);
      await first.close();
      const asked = sizes.split(',').map((size) => (size === 'plain' ? null : Number(size)));
      const results: PageSize[] = [];
      for (const triangles of [...asked, ...(large ? [SIZES.most] : [])]) {
        // A browser of its own: its memory peak is that of this size.
        const browser = await launch();
        results.push(await timeSize(browser, url, triangles, folder, trace));
        await browser.close();
      }
      const report = {
        date: new Date().toISOString().slice(0, 10),
        machine: machineFacts(),
        loadBefore,
        start,
        sizes: results,
      };
      mkdirSync(dirname(json), { recursive: true });
      writeFileSync(json, `${JSON.stringify(report, null, 2)}\n`);
      const text = `${report.machine}; ${report.date}; load before ${loadBefore}\n\n${tableOf(start, results)}\n`;
      writeFileSync(besideJson(json), text);
      process.stdout.write(text);
    } finally {
      server.kill();
      rmSync(folder, { recursive: true });
    }
  });
await program.parseAsync();
