import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import type { Page } from '@playwright/test';
import { writePly } from '../../fixtures/write-ply.ts';
import { earlierArch, laterArch } from '../helpers/earlier-later.ts';
import { expectAccessibleInBoth } from './axe.ts';
import { alone, prepareLooks, section, settle, TOLERANCE } from './looks.ts';
import { chooseFiles, type GivenFile, openFiles, openSection } from './page-steps.ts';
import { expect, test } from './watched-test.ts';

/** The next scan of a patient: four incisors of which one space narrows, one opens and one stays. */

const root = fileURLToPath(new URL('../..', import.meta.url));
let scan: GivenFile;
let clicks: GivenFile;
let next: GivenFile;
/** Teeth of another shape: longer and flatter ones. */
let stranger: GivenFile;
// Not while the runner looks which tests there are: that would make them once more.
test.beforeAll(() => {
  const earlier = earlierArch();
  const later = laterArch();
  scan = { name: 'first.ply', buffer: Buffer.from(writePly(earlier)) };
  clicks = { name: 'clicks.json', buffer: Buffer.from(JSON.stringify(earlier.clicks)) };
  next = { name: 'second.ply', buffer: Buffer.from(writePly(later)) };
  const other = later.positions.map((x, i) => (i % 3 === 2 ? 0.5 * x : 1.2 * x));
  stranger = { name: 'stranger.ply', buffer: Buffer.from(writePly({ ...later, positions: other })) };
});

async function openFirst(page: Page) {
  await openFiles(page, [scan, clicks]);
  await openSection(page, 'Follow-up');
}

const chooseNext = (page: Page, file: GivenFile) => chooseFiles(page, /Choose the next scan/, [file]);

test.use({ drawn: true });

const row = (page: Page, key: string) => page.locator(`tbody[data-change="${key}"]`);

test('a next scan needs no click, says what changed and is kept', async ({ page }) => {
  await prepareLooks(page);
  await openFirst(page);
  await chooseNext(page, next);
  await expect(row(page, '11-21')).toHaveAttribute('data-kind', 'partly-closed', { timeout: 90_000 });
  await expect(row(page, '12-11')).toHaveAttribute('data-kind', 'newly-open');
  await expect(row(page, '21-22')).toHaveAttribute('data-kind', 'unchanged');
  await expect(page.getByText(/4 of 4 teeth recognised by shape/)).toBeVisible();
  // The earlier scan can be faded over the new one, which it nearly covers.
  const view = page.locator('.scan-view-canvas');
  const before = await view.screenshot();
  await page.getByLabel('Share of the earlier scan in the view').fill('0.5');
  await expect
    .poll(async () => (await view.screenshot({ path: '.artefacts/faded.png' })).equals(before))
    .toBe(false);
  await page.getByLabel('Share of the earlier scan in the view').fill('0');
  // The true change is 0.25 mm less.
  const cell = (await row(page, '11-21').locator('td.number').nth(2).textContent()) ?? '';
  const [change = Number.NaN, u95 = Number.NaN] = cell.replace('−', '-').split('±').map(Number);
  expect(Math.abs(change + 0.25), cell).toBeLessThanOrEqual(u95 + 0.005);

  // Nothing of the table hangs out of the worksheet, on either of the two screens.
  for (const viewport of [
    { width: 1024, height: 768 },
    { width: 1440, height: 900 },
  ]) {
    await page.setViewportSize(viewport);
    const over = () =>
      page.locator('.change-table').evaluate((table) => {
        const frame = table.closest('.table-frame') ?? table;
        return [table.scrollWidth - table.clientWidth, frame.scrollWidth - frame.clientWidth];
      });
    await expect.poll(over, String(viewport.width)).toEqual([0, 0]);
  }
  await page.screenshot({ path: `${root}.artefacts/follow-up.png` });
  await expectAccessibleInBoth(page, 'the next scan');
  const saving = page.waitForEvent('download');
  await page.getByRole('button', { name: 'Save compare.csv' }).click();
  const table = readFileSync((await (await saving).path()) ?? '', 'utf8');
  expect(table).toContain('partly-closed');

  await settle(page);
  await alone(page, 'Follow-up');
  await expect(section(page, 6)).toHaveScreenshot('follow-up.png', TOLERANCE);

  await page.reload();
  await expect(row(page, '11-21')).toHaveAttribute('data-kind', 'partly-closed', { timeout: 90_000 });
  await page.getByRole('button', { name: /Take the newest scan out/ }).click();
  await expect(page.locator('.case-name')).toHaveText('first.ply');
  // Undo brings it back, and once more takes back that it was put in, also after a reload.
  const undo = page.getByRole('button', { name: 'Undo' });
  await undo.click();
  await expect(page.locator('.case-name')).toHaveText('second.ply');
  await undo.click();
  await expect(page.locator('.case-name')).toHaveText('first.ply');
  await page.getByRole('button', { name: 'Redo' }).click();
  await expect(page.locator('.case-name')).toHaveText('second.ply');
});

test('a scan of other teeth is refused with a reason, and the case stays as it was', async ({ page }) => {
  await openFirst(page);
  await chooseNext(page, { ...scan, name: 'again.ply' });
  await expect(page.getByRole('alert')).toContainText('byte for byte', { timeout: 60_000 });
  await chooseNext(page, stranger);
  await expect(page.getByRole('alert')).not.toContainText('byte for byte', { timeout: 60_000 });
  const byHand = page.getByRole('button', { name: /click its teeth by hand/ });
  await expect(byHand).toBeVisible({ timeout: 60_000 });
  await expect(page.locator('.case-name')).toHaveText('first.ply');
  await expectAccessibleInBoth(page, 'a scan of other teeth');
  await byHand.click();
  await expect(page.locator('.case-name')).toHaveText('stranger.ply', { timeout: 60_000 });
});
