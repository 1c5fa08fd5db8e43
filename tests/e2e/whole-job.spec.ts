import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { openDemo, openSection } from './page-steps.ts';
import { expect, test } from './watched-test.ts';

/** The whole job as a clinician does it, on the built page behind its security headers. */

const root = fileURLToPath(new URL('../..', import.meta.url));
const truth = JSON.parse(readFileSync(`${root}public/demo/demo-truth.json`, 'utf8')) as {
  pairs: { toothA: number; toothB: number; trueGapMm: number; state: string }[];
};
const artefact = (name: string) => `${root}.artefacts/${name}.png`;

test('the demo case, from one click to the files of the record', async ({ page }) => {
  await openDemo(page);

  // The known spaces lie inside the intervals that the table shows, and nothing else has a number.
  const open = truth.pairs.filter((pair) => pair.state === 'open');
  expect(open).toHaveLength(3);
  for (const pair of truth.pairs) {
    const row = page.locator(`tr[data-key="${pair.toothA}-${pair.toothB}"]`);
    if (pair.state === 'open') {
      const cell = (await row.locator('td.number').first().textContent()) ?? '';
      const [value = Number.NaN, u = Number.NaN] = cell.split('±').map(Number);
      expect(Math.abs(value - pair.trueGapMm), `${pair.toothA}-${pair.toothB}: ${cell}`).toBeLessThanOrEqual(
        u + 0.005,
      );
      await expect(row).toHaveAttribute('data-status', 'open');
    } else {
      await expect(row).toHaveAttribute('data-status', 'bridged');
      await expect(row.locator('td.number').first()).toHaveText('–');
    }
  }
  await page.screenshot({ path: artefact('demo-contacts-1440') });

  await page.locator('tr[data-key="11-21"]').click();
  await expect(page.locator('tr[data-key="11-21"]')).toHaveAttribute('aria-selected', 'true');
  await expect(page.getByRole('img', { name: /11-21|11 and 21/ }).first()).toBeVisible();
  await page.screenshot({ path: artefact('demo-section-1440') });

  await openSection(page, 'Closure');
  await expect(page.getByRole('table', { name: /span/i }).first()).toBeVisible();
  await page.screenshot({ path: artefact('demo-closure-1440') });

  await openSection(page, 'Record');
  const [csv] = await Promise.all([
    page.waitForEvent('download'),
    page.getByRole('button', { name: 'Save contacts.csv' }).click(),
  ]);
  const fromPage = readFileSync(await csv.path(), 'utf8');
  await page.screenshot({ path: artefact('demo-record-1440') });

  // The command line, from the same scan and clicks, writes the same table to the last digit.
  const out = `${root}.artefacts/demo-cli`;
  execFileSync(process.execPath, [
    `${root}dist-cli/archgap.js`,
    'measure',
    `${root}public/demo/demo-arch.ply`,
    '--clicks',
    `${root}public/demo/demo-clicks.json`,
    '--out',
    out,
  ]);
  expect(fromPage).toBe(readFileSync(`${out}/contacts.csv`, 'utf8'));
});

test('the case is still there after a reload, and what was done before can be undone', async ({ page }) => {
  await openDemo(page);
  await expect(page.getByText('saved on this device')).toBeVisible();
  await openSection(page, 'Teeth');
  await page.getByRole('button', { name: /Clear all clicks/ }).click();
  await expect(page.locator('.scan-view-pin')).toHaveCount(0);
  await page.goto('/');
  await expect(page.locator('.case-name')).toBeVisible({ timeout: 90_000 });
  await expect(page.locator('.scan-view-pin')).toHaveCount(0);
  await page.getByRole('button', { name: 'Undo' }).click();
  await expect(page.getByText(/3 of 13 contacts are open/)).toBeVisible({ timeout: 90_000 });
});

test('cleared, the demo can be clicked from scratch on the scan', async ({ page }) => {
  await openDemo(page);
  await openSection(page, 'Teeth');
  await page.keyboard.press('1');
  const pins = page.locator('.scan-view-pin');
  await expect(pins).toHaveCount(14);
  const read = () =>
    pins.evaluateAll((elements) =>
      elements.map((element) => {
        const box = element.getBoundingClientRect();
        return {
          tooth: /tooth (\d+)/.exec(element.getAttribute('aria-label') ?? '')?.[1],
          x: box.x + box.width / 2,
          y: box.y + box.height / 2,
        };
      }),
    );
  // The sight has come to rest when the pins stand where they stood a moment before.
  let places = await read();
  await expect(async () => {
    const before = places;
    places = await read();
    expect(places).toEqual(before);
  }).toPass({ intervals: [300] });
  await page.getByRole('button', { name: /Clear all clicks/ }).click();
  await expect(pins).toHaveCount(0);
  await page.getByRole('radio', { name: 'Click teeth' }).check({ force: true });
  const order = ['17', '16', '15', '14', '13', '12', '11', '21', '22', '23', '24', '25', '26', '27'];
  for (const tooth of order) {
    const place = places.find((candidate) => candidate.tooth === tooth);
    expect(place, `the pin of ${tooth}`).toBeDefined();
    await page.mouse.click(place!.x, place!.y);
    await expect(
      page.getByRole('button', { name: new RegExp(`^Click on tooth ${tooth}\\b`) }),
      `${tooth} gets its number by itself`,
    ).toBeVisible();
  }
  await expect(page.getByText(/3 of 13 contacts are open/)).toBeVisible({ timeout: 90_000 });
});

test('a bad file gets one sentence and leaves the case as it was', async ({ page }) => {
  await openDemo(page);
  await openSection(page, 'Scan');
  await page
    .locator('input[type=file]')
    .first()
    .setInputFiles({
      name: 'broken.stl',
      mimeType: 'application/octet-stream',
      buffer: Buffer.concat([Buffer.alloc(80), Buffer.from([0xff, 0xff, 0xff, 0xff]), Buffer.alloc(40)]),
    });
  await expect(page.getByRole('alert')).toHaveCount(1);
  await expect(page.getByRole('alert')).toContainText(
    'its header promises 4,294,967,295 triangles, the file holds 0',
  );
  await expect(page.getByText(/3 of 13 contacts are open/)).toBeVisible();
});

test('the page stands on a small screen', async ({ page }) => {
  await page.setViewportSize({ width: 1024, height: 768 });
  await openDemo(page);
  const overflow = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
  expect(overflow).toBeLessThanOrEqual(0);
  await page.screenshot({ path: artefact('demo-contacts-1024') });
});
