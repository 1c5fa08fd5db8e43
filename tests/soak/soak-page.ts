import { type Browser, type CDPSession, chromium, type Page } from '@playwright/test';
import { writePly } from '../../fixtures/write-ply.ts';
import config from '../../playwright.config.ts';
import { serveBuilt } from '../helpers/serve-built.ts';
import { checkGrowth, type Sample } from './growth.ts';
import { residentMb } from './resident-memory.ts';
import { makeSoakArch } from './soak-arch.ts';

/** Between two looks at the memory; each collects all garbage first. */
const ROUNDS_PER_LOOK = 4;
const ROUND_TIMEOUT_MS = 60_000;
/** What must not grow; the parts are printed, too. */
const JUDGED = ['all heaps', 'resident memory'] as const;

/**
 * Opens, measures, closes and deletes one scan `count` times in one page of headless Chromium.
 *
 * @returns whether neither the heaps of page and workers together (after collecting all garbage, array buffers
 * included) nor the resident memory of the page's process grew by more than what {@link checkGrowth} allows
 */
export async function soakPage(count: number): Promise<boolean> {
  const arch = makeSoakArch();
  const files: GivenFile[] = [
    { name: 'scan.ply', base64: Buffer.from(writePly(arch)).toString('base64') },
    { name: 'clicks.json', base64: Buffer.from(JSON.stringify(arch.clicks)).toString('base64') },
  ];
  console.log(`${count} rounds with ${arch.triangles.length / 3} triangles`);
  const { server, url } = await serveBuilt();
  const browser = await chromium.launch(config.use?.launchOptions);
  try {
    const page = await browser.newPage({ viewport: { width: 1440, height: 900 } });
    page.setDefaultTimeout(ROUND_TIMEOUT_MS);
    const faults: string[] = [];
    page.on('pageerror', (error) => faults.push(`${error.stack}`));
    const heaps = await watchHeaps(page);
    await page.goto(url);
    const samples = new Map<string, Sample[]>();
    for (let done = 1; done <= count; done++) {
      await oneRound(page, files);
      if (done % ROUNDS_PER_LOOK !== 0 && done !== count) continue;
      const parts = await heaps.collectedMb();
      const heapMbs = Object.values(parts).reduce((sum, megabytes) => sum + megabytes, 0);
      const now = { ...parts, 'all heaps': heapMbs, 'resident memory': await rendererMb(browser) };
      for (const [name, megabytes] of Object.entries(now)) {
        samples.set(name, [...(samples.get(name) ?? []), { done, megabytes }]);
      }
      const words = Object.entries(now).map(([name, megabytes]) => `${name} ${megabytes.toFixed(1)} MB`);
      console.log(`${done} done: ${words.join(', ')}`);
    }
    if (faults.length > 0) throw new Error(`Faults in the page:\n${faults.join('\n')}`);
    // Each is said, the first failure does not hide the others.
    const grown = new Map([...samples].map(([name, of]) => [name, !checkGrowth(name, of, count)]));
    return JUDGED.every((name) => grown.get(name) === false);
  } finally {
    await browser.close();
    server.kill();
  }
}

interface GivenFile {
  readonly name: string;
  readonly base64: string;
}

/**
 * Runs in the page: as its file dialog gives files. The driver's own way keeps a handle on the field of every round,
 * and with it all that hung on it.
 */
function giveFiles(files: readonly GivenFile[]): void {
  const input = document.querySelector<HTMLInputElement>('input[type=file][multiple]')!;
  const given = new DataTransfer();
  for (const { name, base64 } of files) {
    given.items.add(new File([Uint8Array.from(atob(base64), (digit) => digit.charCodeAt(0))], name));
  }
  input.files = given.files;
  input.dispatchEvent(new Event('change', { bubbles: true }));
}

/** Opens the scan with its clicks, waits for the table, closes the case and deletes it. */
async function oneRound(page: Page, files: readonly GivenFile[]) {
  await page.evaluate(giveFiles, files);
  await page.locator('tr[data-key="11-21"]').first().waitFor();
  await page.getByText('saved on this device').first().waitFor();
  const scan = page.getByRole('button', { name: /^(\d )?Scan\b/ }).first();
  if ((await scan.getAttribute('aria-expanded')) === 'false') await scan.click();
  await page.getByRole('button', { name: 'Close this case' }).first().click();
  await page.getByRole('heading', { name: /Is there a space left/ }).waitFor();
  // Each opening is a case of its own: a list of two hundred on the device is no leak, and is not measured here.
  await page.getByRole('button', { name: 'Delete scan.ply from this device' }).first().click();
  await page.getByRole('button', { name: 'Delete scan.ply for good' }).first().click();
  await page.getByText(/^Cases on this device/).waitFor({ state: 'hidden' });
}

/** Heap and array buffers of the page and its workers, MB, by the browser's own debugging protocol. */
async function watchHeaps(page: Page) {
  const session = await page.context().newCDPSession(page);
  const workers = new Map<string, Map<number, (reply: unknown) => void>>();
  let asked = 0;
  session.on('Target.attachedToTarget', ({ sessionId, targetInfo }) => {
    if (targetInfo.type === 'worker') workers.set(sessionId, new Map());
  });
  session.on('Target.detachedFromTarget', ({ sessionId }) => {
    // One that ends while it is asked gives no answer, and holds nothing any more.
    for (const answer of workers.get(sessionId)?.values() ?? []) answer(null);
    workers.delete(sessionId);
  });
  session.on('Target.receivedMessageFromTarget', ({ sessionId, message }) => {
    const { id, result } = JSON.parse(message) as { id: number; result: unknown };
    workers.get(sessionId)?.get(id)?.(result);
    workers.get(sessionId)?.delete(id);
  });
  // Nested sessions: the driver does not hand out sessions of workers.
  await session.send('Target.setAutoAttach', {
    autoAttach: true,
    waitForDebuggerOnStart: false,
    flatten: false,
  });

  const ask = (sessionId: string, method: string) =>
    new Promise<unknown>((done) => {
      const id = ++asked;
      workers.get(sessionId)?.set(id, done) ?? done(null);
      session
        .send('Target.sendMessageToTarget', { sessionId, message: JSON.stringify({ id, method }) })
        .catch(() => done(null));
    });

  return {
    async collectedMb(): Promise<Record<string, number>> {
      const found: Record<string, number> = { page: await pageMb(session) };
      // All together: one that was not ended shows as one kept too much.
      found.workers = 0;
      for (const sessionId of [...workers.keys()]) {
        await ask(sessionId, 'HeapProfiler.collectGarbage');
        const usage = await ask(sessionId, 'Runtime.getHeapUsage');
        if (usage !== null) found.workers += heapMb(usage);
        // One that was ended meanwhile holds nothing.
        else if (workers.has(sessionId)) throw new Error('A worker did not say how much it holds.');
      }
      return found;
    },
  };
}

async function pageMb(session: CDPSession): Promise<number> {
  await session.send('HeapProfiler.collectGarbage');
  return heapMb(await session.send('Runtime.getHeapUsage'));
}

function heapMb(usage: unknown): number {
  const { usedSize, embedderHeapUsedSize, backingStorageSize } = usage as Record<string, number>;
  return (usedSize! + embedderHeapUsedSize! + backingStorageSize!) / 1e6;
}

/** Resident memory of the page's process, its workers among it, MB. */
async function rendererMb(browser: Browser): Promise<number> {
  const session = await browser.newBrowserCDPSession();
  const { processInfo } = await session.send('SystemInfo.getProcessInfo');
  await session.detach();
  const renderers = processInfo.filter(({ type }) => type === 'renderer');
  const resident = renderers.flatMap(({ id }) => residentMb(id) ?? []);
  if (resident.length === 0) throw new Error('No process of the page was found.');
  return Math.max(...resident);
}
