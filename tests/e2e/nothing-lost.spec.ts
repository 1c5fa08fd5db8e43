import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Page } from '@playwright/test';
import { strFromU8, strToU8, unzipSync, zipSync } from 'fflate';
import { giveFiles, OPEN_LINE, openDemo, openSection } from './page-steps.ts';
import { expect, test } from './watched-test.ts';

/** Whatever happens to page, worker, device or graphics card: the case is as at the last change, and the user is told. */

test.use({ expectedComplaint: /killed by the test|Error creating WebGL context|Context Lost/ });

const root = fileURLToPath(new URL('../..', import.meta.url));
const artefact = (name: string) => `${root}.artefacts/${name}.png`;
const demoScan = () => readFileSync(`${root}public/demo/demo-arch.ply`);

const limit = (page: Page) => page.getByRole('spinbutton', { name: /limit/i }).first();

async function saveCase(page: Page, passphrase: string | null): Promise<Buffer> {
  await openSection(page, 'Scan');
  await page.getByText('Save this case as a file').click();
  const encrypt = page.getByRole('checkbox', { name: /Encrypt/ });
  if (passphrase !== null) {
    await encrypt.check();
    await page.getByLabel(/Passphrase, at least/).fill(passphrase);
  }
  const [file] = await Promise.all([
    page.waitForEvent('download'),
    page.getByRole('button', { name: 'Save the case file' }).click(),
  ]);
  expect(file.suggestedFilename()).toBe('demo-case.zip');
  return readFileSync(await file.path());
}

test('a case file, encrypted, comes back in the page and on the command line', async ({ page }) => {
  await openDemo(page);
  await openSection(page, 'Contacts');
  await limit(page).fill('0.12');
  await limit(page).press('Enter');
  const saved = await saveCase(page, 'a space of 0.3 mm');
  await page.screenshot({ path: artefact('case-save-1440') });

  // Deleted means deleted: nothing of it is left in any store of the browser.
  await page.getByText(/^Cases on this device/).click();
  await page.getByRole('button', { name: 'Delete Demo case from this device' }).click();
  await page.getByRole('button', { name: 'Delete Demo case for good' }).click();
  await expect(page.getByRole('heading', { name: /Is there a space left/ })).toBeVisible();
  const left = await page.evaluate(async () => {
    const opening = indexedDB.open('archgap');
    await new Promise((done) => {
      opening.onsuccess = done;
    });
    const transaction = opening.result.transaction(['cases', 'scans']);
    const counts = ['cases', 'scans'].map((name) => transaction.objectStore(name).count());
    await new Promise((done) => {
      transaction.oncomplete = done;
    });
    return [
      ...counts.map((count) => count.result),
      JSON.stringify({ ...localStorage }).includes('demo-arch'),
    ];
  });
  expect(left).toEqual([0, 0, false]);

  await giveFiles(page, [{ name: 'from-a-colleague.zip', buffer: saved }]);
  const box = page.getByRole('dialog', { name: /encrypted/ });
  await box.getByLabel('Passphrase').fill('a space of 0.4 mm');
  await box.getByRole('button', { name: 'Open it' }).click();
  await expect(box.getByRole('alert')).toContainText('The passphrase does not open this case file');
  await page.screenshot({ path: artefact('case-passphrase-1440') });
  await box.getByLabel('Passphrase').fill('a space of 0.3 mm');
  await box.getByRole('button', { name: 'Open it' }).click();
  await expect(page.getByText(OPEN_LINE)).toBeVisible({ timeout: 90_000 });
  await openSection(page, 'Contacts');
  await expect(limit(page)).toHaveValue('0.12');
  await openSection(page, 'Record');
  const [csv] = await Promise.all([
    page.waitForEvent('download'),
    page.getByRole('button', { name: 'Save contacts.csv' }).click(),
  ]);

  const folder = mkdtempSync(join(tmpdir(), 'archgap-case-'));
  writeFileSync(join(folder, 'case.zip'), saved);
  writeFileSync(join(folder, 'passphrase'), 'a space of 0.3 mm\n');
  execFileSync(process.execPath, [
    `${root}dist-cli/archgap.js`,
    ...['measure', join(folder, 'case.zip'), '--passphrase-file', join(folder, 'passphrase')],
    ...['--out', join(folder, 'out')],
  ]);
  expect(readFileSync(await csv.path(), 'utf8')).toBe(readFileSync(join(folder, 'out/contacts.csv'), 'utf8'));

  // A broken file and one of a newer version: one sentence each, and the case stays.
  await openSection(page, 'Scan');
  await giveFiles(page, [{ name: 'cut.zip', buffer: saved.subarray(0, saved.length - 100) }]);
  await expect(page.getByRole('alert').first()).toContainText('damaged or not whole');
  const newer = zipSync({ 'manifest.json': strToU8('{"schema": "archgap-case/2"}') });
  await giveFiles(page, [{ name: 'newer.zip', buffer: Buffer.from(newer) }]);
  await expect(page.getByRole('alert').first()).toContainText('is of version 2');
  await expect(page.getByText(OPEN_LINE)).toBeVisible();
});

test('the page reloaded, the worker killed, the graphics lost: the case is as at the last change', async ({
  page,
}) => {
  await page.addInitScript(() => {
    const workers: Worker[] = [];
    Object.assign(window, { startedWorkers: workers });
    window.Worker = class extends Worker {
      constructor(url: string | URL, options?: WorkerOptions) {
        super(url, options);
        if (options?.name === 'archgap-analysis') workers.push(this);
      }
    };
  });
  await openDemo(page);
  await expect(page.getByText('saved on this device')).toBeVisible();

  // The reload comes 0 to 300 ms after the change: before, in and after the save that follows it.
  for (const [value, rest] of [
    ['0.11', 0],
    ['0.13', 120],
    ['0.14', 210],
    ['0.15', 300],
  ] as const) {
    await openSection(page, 'Contacts');
    await limit(page).fill(value);
    await limit(page).press('Enter');
    await page.waitForTimeout(rest);
    await page.reload();
    await expect(page.getByText(/contacts (is|are) open/)).toBeVisible({ timeout: 90_000 });
    await openSection(page, 'Contacts');
    await expect(limit(page)).toHaveValue(value);
  }

  // Killed while it measures: a changed click asks for that.
  await openSection(page, 'Teeth');
  await page.getByRole('button', { name: /Clear all clicks/ }).click();
  await page.getByRole('button', { name: 'Undo' }).click();
  await expect(page.locator('.stage-jobs .job-line').first()).toBeVisible();
  await page.evaluate(() => {
    const { startedWorkers } = window as unknown as { startedWorkers: Worker[] };
    startedWorkers.at(-1)?.dispatchEvent(new ErrorEvent('error', { message: 'killed by the test' }));
  });
  await expect(page.getByText(/was started again; nothing of the case was lost/)).toBeVisible({
    timeout: 90_000,
  });
  await expect(page.getByText(/contacts (is|are) open/)).toBeVisible({ timeout: 90_000 });
  await page.screenshot({ path: artefact('worker-restarted-1440') });

  const lose = (what: 'loseContext' | 'restoreContext') =>
    page.evaluate((name) => {
      const canvas = document.querySelector<HTMLCanvasElement>('.scan-view-canvas');
      const store = window as unknown as { losing?: WEBGL_lose_context | null };
      store.losing ??= canvas?.getContext('webgl2')?.getExtension('WEBGL_lose_context') ?? null;
      store.losing?.[name]();
    }, what);
  await lose('loseContext');
  await expect(page.getByText(/graphics card has dropped the picture/)).toBeVisible();
  await expect(page.getByText(/contacts (is|are) open/)).toBeVisible();
  await lose('restoreContext');
  await expect(page.getByText(/graphics card has dropped the picture/)).toHaveCount(0);
  await expect(page.locator('.scan-view-pin').first()).toBeVisible();
});

test('two arches, two tabs', async ({ page, context }) => {
  await page.goto('/');
  await giveFiles(page, [
    { name: 'b-lower.ply', buffer: demoScan() },
    { name: 'a-upper.ply', buffer: demoScan() },
  ]);
  await expect(page.getByText('saved on this device')).toBeVisible({ timeout: 90_000 });
  await openSection(page, 'Scan');
  const arches = page.locator('.arch-list');
  await expect(arches.locator('li').first()).toContainText('a-upper.ply');
  await expect(arches.locator('li').nth(1)).toContainText('b-lower.ply');
  await arches.scrollIntoViewIfNeeded();
  await page.screenshot({ path: artefact('case-two-arches-1440') });
  await arches.getByRole('button', { name: 'Work on this arch' }).click();
  await expect(page.locator('.case-name')).toHaveText('b-lower.ply', { timeout: 90_000 });
  await expect(page.getByText('saved on this device')).toBeVisible();

  const second = await context.newPage();
  await second.goto('/');
  await expect(second.getByText(/is open in another tab/)).toBeVisible({ timeout: 30_000 });
  await second.screenshot({ path: artefact('case-second-tab-1440') });
  await second.getByRole('button', { name: 'Go on here' }).click();
  await expect(second.locator('.case-name')).toHaveText('b-lower.ply', { timeout: 90_000 });
  await expect(page.getByText(/was opened in another tab and goes on there/)).toBeVisible();
  await expect(page.locator('.case-name')).toHaveCount(0);
});

test('a full device is told, and the case goes on', async ({ page, context }) => {
  await page.goto('/');
  const device = await context.newCDPSession(page);
  const origin = 'http://127.0.0.1:4199';
  await device.send('Storage.overrideQuotaForOrigin', { origin, quotaSize: 1000 });
  await giveFiles(page, [{ name: 'third.ply', buffer: demoScan() }]);
  await expect(page.getByText(/There is no room left on this device/)).toBeVisible({ timeout: 90_000 });
  await expect(page.locator('.save-state')).toContainText('no room left');
  await expect(page.locator('.case-name')).toHaveText('third.ply');
  await page.screenshot({ path: artefact('case-device-full-1440') });
});

test('without WebGL a case file still gives table and plan', async ({ page }) => {
  await openDemo(page);
  const saved = await saveCase(page, null);
  expect(Object.keys(unzipSync(saved))).toEqual(['manifest.json', 'scans/1-demo-arch.ply']);
  expect(Buffer.from(unzipSync(saved)['scans/1-demo-arch.ply']!).equals(demoScan())).toBe(true);
  expect(JSON.parse(strFromU8(unzipSync(saved)['manifest.json']!)).demo).toBe(true);

  await page.addInitScript(() => {
    const original = HTMLCanvasElement.prototype.getContext;
    HTMLCanvasElement.prototype.getContext = function (this: HTMLCanvasElement, ...args: unknown[]) {
      return /webgl/.test(String(args[0])) ? null : Reflect.apply(original, this, args);
    } as typeof original;
  });
  await page.goto('/');
  await giveFiles(page, [{ name: 'case.zip', buffer: saved }]);
  await expect(page.getByText(OPEN_LINE)).toBeVisible({ timeout: 90_000 });
  await expect(page.getByText(/WebGL is missing or switched off/)).toBeVisible();
  await openSection(page, 'Closure');
  await expect(page.getByRole('table', { name: /span/i }).first()).toBeVisible();
  await page.screenshot({ path: artefact('no-webgl-1440') });
});
