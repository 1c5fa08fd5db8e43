import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { Page } from '@playwright/test';
import { strFromU8, strToU8, unzipSync, zipSync } from 'fflate';
import { archSpec } from '../../fixtures/arch-spec.ts';
import { makeArch } from '../../fixtures/make-arch.ts';
import { writePly } from '../../fixtures/write-ply.ts';
import { drawingWorker } from '../helpers/drawing-worker.ts';
import { expectAccessibleInBoth } from './axe.ts';
import { appears, frontFiles, giveFiles, OPEN_LINE, openDemo, openFiles, openSection } from './page-steps.ts';
import { expect, losePicture, test } from './watched-test.ts';

/** Whatever happens to page, worker, device or graphics card: the case is as at the last change, and the user is told. */

test.describe.configure({ mode: 'parallel' });
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
  return readFileSync(await file.path());
}

test('a case file, encrypted, comes back in the page and on the command line', async ({ page }) => {
  await openFiles(page, frontFiles());
  await openSection(page, 'Contacts');
  await limit(page).fill('0.12');
  await limit(page).press('Enter');
  const saved = await saveCase(page, 'a space of 0.3 mm');
  await page.screenshot({ path: artefact('case-save-1440') });

  // Deleted means deleted: nothing of it is left in any store of the browser.
  await page.getByText(/^Cases on this device/).click();
  await page.getByRole('button', { name: 'Delete front.ply from this device' }).click();
  await page.getByRole('button', { name: 'Delete front.ply for good' }).click();
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
      JSON.stringify({ ...localStorage }).includes('front.ply'),
    ];
  });
  expect(left).toEqual([0, 0, false]);

  await giveFiles(page, [{ name: 'from-a-colleague.zip', buffer: saved }]);
  const box = page.getByRole('dialog', { name: /encrypted/ });
  await box.getByLabel('Passphrase').fill('a space of 0.4 mm');
  await box.getByRole('button', { name: 'Open it' }).click();
  await expect(box.getByRole('alert')).toContainText('The passphrase does not open this case file');
  await page.screenshot({ path: artefact('case-passphrase-1440') });
  await expectAccessibleInBoth(page, 'the question for the passphrase');
  await box.getByLabel('Passphrase').fill('a space of 0.3 mm');
  await box.getByRole('button', { name: 'Open it' }).click();
  await appears(page.locator('.contact-table'));
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
  await expect(page.getByRole('alert').first()).toContainText(/cut\.zip.*damaged or not whole/);
  const newer = zipSync({ 'manifest.json': strToU8('{"schema": "archgap-case/2"}') });
  await giveFiles(page, [{ name: 'newer.zip', buffer: Buffer.from(newer) }]);
  await expect(page.getByRole('alert').first()).toContainText(/newer\.zip.*is of version 2/);
  await expectAccessibleInBoth(page, 'a case file of a newer version');
  await page.screenshot({ path: artefact('case-newer-1440') });
  await expect(page.locator('.contact-table')).toBeVisible();
});

test('the worker killed while it measures, twice too often, and the graphics lost: told, and nothing is gone', async ({
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
  const kill = () =>
    page.evaluate(() => {
      const { startedWorkers } = window as unknown as { startedWorkers: Worker[] };
      startedWorkers.at(-1)?.dispatchEvent(new ErrorEvent('error', { message: 'killed by the test' }));
    });
  await openFiles(page, frontFiles());
  await expect(page.getByText('saved on this device')).toBeVisible();

  // Killed while it measures: a changed click asks for that.
  await openSection(page, 'Teeth');
  await page.getByRole('button', { name: /Clear all clicks/ }).click();
  await page.getByRole('button', { name: 'Undo' }).click();
  await expect(page.locator('.stage-jobs .job-line').first()).toBeVisible();
  await kill();
  await appears(page.getByText(/was started again; nothing of the case was lost/));
  await appears(page.locator('.contact-table'));
  await expectAccessibleInBoth(page, 'the calculation started again');
  await page.screenshot({ path: artefact('worker-restarted-1440') });

  await losePicture(page, 'loseContext');
  await expect(page.getByText(/graphics card has dropped the picture/)).toBeVisible();
  await expect(page.locator('.contact-table')).toBeVisible();
  await expectAccessibleInBoth(page, 'the picture dropped');
  await losePicture(page, 'restoreContext');
  await expect(page.getByText(/graphics card has dropped the picture/)).toHaveCount(0);
  await expect(page.locator('.scan-view-pin').first()).toBeVisible();

  // Without the worker that draws the page does it itself, and one sees the scan from where one saw it.
  const firstPin = () =>
    page
      .locator('.scan-view-pin')
      .first()
      .evaluate(({ style }) => style.transform);
  const fromAbove = await firstPin();
  await page.getByRole('button', { name: 'Front' }).click();
  await expect.poll(firstPin).not.toBe(fromAbove);
  const fromFront = await firstPin();
  await (await drawingWorker(page)).evaluate(() => void Promise.reject(new Error('killed by the test')));
  const isDrawnHere = () =>
    page.locator('.scan-view-canvas').evaluate((canvas) => {
      // Throws for a canvas that has been handed over.
      const gl = (canvas as HTMLCanvasElement).getContext('webgl2');
      return gl !== null && canvas.style.visibility === '';
    });
  await expect.poll(() => isDrawnHere().catch(() => false)).toBe(true);
  await expect.poll(firstPin).toBe(fromFront);
  await expect(page.locator('.scan-view-tools')).toBeVisible();
  await page.getByRole('button', { name: 'Above' }).click();
  await expect.poll(firstPin).toBe(fromAbove);

  // At the third death within a minute the page starts it no more, and says what is safe.
  await kill();
  await appears(page.getByText(/was started again; nothing of the case was lost/));
  await kill();
  await expect(page.getByText(/Your clicks and settings are as they were/)).toBeVisible();
  await expectAccessibleInBoth(page, 'the calculation stopped');
  await page.screenshot({ path: artefact('worker-stopped-1440') });
});

/** Six front teeth, all spaced so that their walls are seen and their widths have numbers. */
function spacedFront(jaw: 'upper' | 'lower') {
  const [right, left] = jaw === 'upper' ? [1, 2] : [4, 3];
  const teeth = [3, 2, 1].map((k) => 10 * right + k).concat([1, 2, 3].map((k) => 10 * left + k));
  const gaps = Object.fromEntries(teeth.slice(1).map((tooth, k) => [`${teeth[k]}-${tooth}`, 0.5]));
  const mesh = { toothEdgeMm: 0.34, gumEdgeMm: 0.9, gridMm: 0.3, seed: 5 };
  const arch = makeArch(archSpec(jaw, { name: jaw, teeth, gaps, ...mesh }));
  return [
    { name: `${jaw}.ply`, buffer: Buffer.from(writePly(arch)) },
    { name: `${jaw}-clicks.json`, buffer: Buffer.from(JSON.stringify(arch.clicks)) },
  ] as const;
}

test('two arches: each clicked, widths against each other, taken away and brought back over a reload; two tabs', async ({
  page,
  context,
}) => {
  const [upper, upperClicks] = spacedFront('upper');
  const [lower, lowerClicks] = spacedFront('lower');
  await page.goto('/');
  await giveFiles(page, [lower, upper]);
  await expect(page.getByText('saved on this device')).toBeVisible({ timeout: 90_000 });
  await openSection(page, 'Scan');
  const arches = page.locator('.arch-list');
  await expect(arches.locator('li').first()).toContainText('upper.ply');
  await expect(arches.locator('li').nth(1)).toContainText('lower.ply');
  await openSection(page, 'Scan');
  await giveFiles(page, [upperClicks]);
  await appears(page.locator('.contact-table'));
  await openSection(page, 'Scan');
  await arches.getByRole('button', { name: 'Work on this arch' }).click();
  await expect(page.locator('.case-name')).toHaveText('lower.ply', { timeout: 90_000 });
  await openSection(page, 'Scan');
  await giveFiles(page, [lowerClicks]);
  await appears(page.locator('.contact-table'));

  // Measured on each, the widths stand against each other: the anterior ratio has a number, the overall one a reason.
  await openSection(page, 'Contacts');
  await page.getByText('Sizes and indices').click();
  const ratio = page.locator('.sizes-table').last().locator('tbody tr');
  const measure = page.getByRole('button', { name: 'Measure upper.ply for this' });
  await expect(ratio.first().or(measure)).toBeVisible();
  if (await measure.isVisible()) await measure.click();
  await expect(ratio.filter({ hasText: 'six teeth' }).locator('td.number')).toContainText(/^\d\d\.\d/);
  await expect(ratio.filter({ hasText: 'twelve teeth' }).locator('td.number')).toContainText('–');
  await expectAccessibleInBoth(page, 'widths of both arches');

  await openSection(page, 'Scan');
  await arches.getByRole('button', { name: 'Remove' }).click();
  await expect(arches).not.toContainText('upper.ply');
  await expect(page.getByText('saved on this device')).toBeVisible();
  await page.reload();
  await expect(page.locator('.case-name')).toHaveText('lower.ply', { timeout: 90_000 });
  await openSection(page, 'Scan');
  await page.getByRole('button', { name: 'Undo' }).click();
  await expect(arches.locator('li').nth(1)).toContainText('upper.ply');
  await arches.scrollIntoViewIfNeeded();
  await page.screenshot({ path: artefact('case-two-arches-1440') });
  await expect(page.getByText('saved on this device')).toBeVisible();

  const second = await context.newPage();
  await second.goto('/');
  await expect(second.getByText(/is open in another tab/)).toBeVisible({ timeout: 30_000 });
  await expectAccessibleInBoth(second, 'the second tab');
  await second.screenshot({ path: artefact('case-second-tab-1440') });
  await second.getByRole('button', { name: 'Go on here' }).click();
  await expect(second.locator('.case-name')).toHaveText('lower.ply', { timeout: 90_000 });
  await expect(page.getByText(/was opened in another tab and goes on there/)).toBeVisible();
  await expect(page.locator('.case-name')).toHaveCount(0);
});

test('a full device is told, and the case goes on', async ({ page, context, baseURL }) => {
  await page.goto('/');
  const device = await context.newCDPSession(page);
  const { origin } = new URL(baseURL!);
  await device.send('Storage.overrideQuotaForOrigin', { origin, quotaSize: 1000 });
  await giveFiles(page, [{ name: 'third.ply', buffer: demoScan() }]);
  await expect(page.getByText(/There is no room left on this device/)).toBeVisible({ timeout: 90_000 });
  await expect(page.locator('.save-state')).toContainText('no room left');
  await expect(page.locator('.case-name')).toHaveText('third.ply');
  await expectAccessibleInBoth(page, 'a full device');
  await page.screenshot({ path: artefact('case-device-full-1440') });
});

test('without WebGL a case file still gives table and plan', async ({ page }) => {
  await openDemo(page);
  const saved = await saveCase(page, null);
  expect(Object.keys(unzipSync(saved))).toEqual(['manifest.json', 'scans/1-demo-arch.ply']);
  expect(Buffer.from(unzipSync(saved)['scans/1-demo-arch.ply']!).equals(demoScan())).toBe(true);
  expect(JSON.parse(strFromU8(unzipSync(saved)['manifest.json']!)).demo).toBe(true);

  await page.addInitScript(() => {
    // Without it no worker may draw either: as in a browser that has none of both.
    Reflect.deleteProperty(HTMLCanvasElement.prototype, 'transferControlToOffscreen');
    const original = HTMLCanvasElement.prototype.getContext;
    HTMLCanvasElement.prototype.getContext = function (this: HTMLCanvasElement, ...args: unknown[]) {
      return /webgl/.test(String(args[0])) ? null : Reflect.apply(original, this, args);
    } as typeof original;
  });
  await page.goto('/');
  await giveFiles(page, [{ name: 'case.zip', buffer: saved }]);
  await appears(page.getByText(OPEN_LINE));
  await expect(page.getByText(/WebGL is missing or switched off/)).toBeVisible();
  await openSection(page, 'Closure');
  await expect(page.getByRole('table', { name: /span/i }).first()).toBeVisible();
  await expectAccessibleInBoth(page, 'no WebGL');
  await page.screenshot({ path: artefact('no-webgl-1440') });
});
