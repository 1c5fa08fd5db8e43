import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { appears, frontFiles, openDemo, openFiles, openSection } from './page-steps.ts';
import { expect, test } from './watched-test.ts';

/** The whole job as a clinician does it, on the built page behind its security headers. */

const root = fileURLToPath(new URL('../..', import.meta.url));
const truth = JSON.parse(readFileSync(`${root}public/demo/demo-truth.json`, 'utf8')) as {
  pairs: { toothA: number; toothB: number; trueGapMm: number; state: string }[];
};
const artefact = (name: string) => `${root}.artefacts/${name}.png`;

test.describe('drawn', () => {
  test.use({ drawn: true });

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
        expect(
          Math.abs(value - pair.trueGapMm),
          `${pair.toothA}-${pair.toothB}: ${cell}`,
        ).toBeLessThanOrEqual(u + 0.005);
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
    expect(csv.suggestedFilename()).toBe('demo-upper-contacts.csv');
    const fromPage = readFileSync(await csv.path(), 'utf8');
    await expect(page.getByText('Their names begin with demo-upper-').first()).toBeVisible();
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
});

test('the case is still there after a reload, and what was done before can be undone', async ({ page }) => {
  await openFiles(page, frontFiles());
  const pins = page.locator('button.scan-view-pin');
  await expect(pins).toHaveCount(4);
  await expect(page.getByText('saved on this device')).toBeVisible();
  await openSection(page, 'Teeth');
  await page.getByRole('button', { name: /Clear all clicks/ }).click();
  await expect(pins).toHaveCount(0);
  await page.goto('/');
  await appears(page.locator('.case-name'));
  await expect(pins).toHaveCount(0);
  await page.getByRole('button', { name: 'Undo' }).click();
  await expect(pins).toHaveCount(4);
  await appears(page.locator('.contact-table'));
});
