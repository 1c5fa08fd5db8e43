import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import type { Locator, Page } from '@playwright/test';
import { writePly } from '../../fixtures/write-ply.ts';
import { earlierArch, laterArch } from '../helpers/earlier-later.ts';
import { giveFiles, openDemo, openSection } from './page-steps.ts';
import { expect, test } from './watched-test.ts';

/**
 * The states of the page as they looked when a person last looked at them. A font of the test's own stands in for the
 * machine's, so that words take the same room wherever this runs; hinting and the version of the browser move edges by
 * parts of a pixel, which the tolerance forgives. A lost style, a line that wraps or a part that is gone is more. The
 * view of the scan is left out where it is not what the picture is about. Look at a new picture before it is renewed
 * with --update-snapshots.
 */

const FOLDER = dirname(createRequire(import.meta.url).resolve('@fontsource/noto-sans/package.json'));
const face = (weight: number) => {
  const bytes = readFileSync(join(FOLDER, `files/noto-sans-latin-${weight}-normal.woff2`));
  return `@font-face { font-family: "looks"; font-weight: ${weight}; src: url(data:font/woff2;base64,${bytes.toString('base64')}); }`;
};
const STYLE = `${[400, 600, 700].map(face).join('\n')}
:root { --font: "looks", sans-serif; --font-mono: "looks", monospace; }
* { caret-color: transparent !important; }
[data-small-stage] .stage { max-height: 500px; }`;

const TOLERANCE = { maxDiffPixelRatio: 0.005 } as const;

// The policy of the page would refuse the style of the test.
test.use({ bypassCSP: true });

async function start(page: Page, theme: 'light' | 'dark') {
  await page.emulateMedia({ colorScheme: theme, reducedMotion: 'reduce' });
  await page.addInitScript((css) => {
    document.addEventListener('DOMContentLoaded', () => {
      const style = document.createElement('style');
      style.textContent = css;
      document.head.append(style);
    });
  }, STYLE);
}

/** Nothing runs any more and the font is there. */
async function settle(page: Page) {
  await expect(page.locator('#worksheet')).not.toHaveAttribute('data-jobs', /running/, { timeout: 60_000 });
  await page.evaluate(async () => {
    await Promise.all([400, 600, 700].map((weight) => document.fonts.load(`${weight} 14px looks`)));
    await document.fonts.ready;
  });
}

const view = (page: Page): Locator[] => [page.locator('.stage-view')];
const section = (page: Page, number: number) =>
  page.locator('.sheet-section', { has: page.locator(`button[data-section="${number}"]`) });

const smallStage = (page: Page, on: boolean) =>
  page.evaluate((small) => document.documentElement.toggleAttribute('data-small-stage', small), on);

/** All sections folded but this one, and so much room that nothing of it is cut; the view, drawn by software, stays small. */
async function alone(page: Page, title: string, height = 2400) {
  await smallStage(page, true);
  await page.setViewportSize({ width: 1440, height });
  const open = page.locator('.sheet-toggle[aria-expanded="true"]');
  while ((await open.count()) > 0) await open.first().click();
  await openSection(page, title);
  await page.mouse.move(1430, 5);
  await page.evaluate(() => (document.activeElement as HTMLElement | null)?.blur());
}

test('before a case is open', async ({ page }) => {
  await start(page, 'light');
  await page.goto('/');
  await settle(page);
  await expect(page).toHaveScreenshot('welcome.png', TOLERANCE);
});

for (const theme of ['light', 'dark'] as const) {
  test(`a case with its answer, ${theme}`, async ({ page }) => {
    await start(page, theme);
    await openDemo(page);
    await settle(page);
    await page.locator('tr[data-key="11-21"]').click();
    await page.mouse.move(1430, 5);
    await expect(page).toHaveScreenshot(`contacts-${theme}.png`, {
      ...TOLERANCE,
      mask: view(page),
      maskColor: '#888',
    });

    await alone(page, 'Teeth');
    await expect(section(page, 2)).toHaveScreenshot(`teeth-${theme}.png`, TOLERANCE);
    await alone(page, 'Closure');
    await expect(section(page, 4)).toHaveScreenshot(`closure-${theme}.png`, TOLERANCE);
    await alone(page, 'Record');
    await expect(section(page, 5)).toHaveScreenshot(`record-${theme}.png`, TOLERANCE);
  });
}

test('nothing to close, a refused file, a small screen and a phone', async ({ page }) => {
  await start(page, 'light');
  await openDemo(page);
  await openSection(page, 'Contacts');
  const limit = page.getByRole('spinbutton', { name: /limit/i }).first();
  await limit.fill('0.60');
  await limit.press('Enter');
  await expect(page.locator('.answer .headline')).toHaveText('No tightening stages are needed.');
  await settle(page);
  await alone(page, 'Closure');
  await expect(section(page, 4)).toHaveScreenshot('none-needed.png', TOLERANCE);

  await openSection(page, 'Scan');
  await giveFiles(page, [{ name: 'broken.stl', buffer: Buffer.alloc(84, 7) }]);
  await expect(page.getByRole('alert')).toBeVisible();
  await alone(page, 'Contacts', 768);
  await smallStage(page, false);
  await page.setViewportSize({ width: 1024, height: 768 });
  await settle(page);
  await expect(page).toHaveScreenshot('refused-1024.png', {
    ...TOLERANCE,
    mask: view(page),
    maskColor: '#888',
  });

  await page.getByRole('alert').getByRole('button', { name: 'Dismiss' }).click();
  await page.setViewportSize({ width: 390, height: 844 });
  await page.evaluate(() => window.scrollTo(0, 0));
  await expect(page).toHaveScreenshot('phone.png', { ...TOLERANCE, mask: view(page), maskColor: '#888' });
});

test('the scan in the view', async ({ page }) => {
  await start(page, 'light');
  await openDemo(page);
  await settle(page);
  await page.keyboard.press('1');
  // Shading comes from the driver of the machine: hues may differ a little, shapes and numbers may not.
  await expect(page.locator('.stage-view')).toHaveScreenshot('view.png', {
    maxDiffPixelRatio: 0.03,
    threshold: 0.3,
  });
});

test('the next scan against the first', async ({ page }) => {
  await start(page, 'light');
  const earlier = earlierArch();
  await page.goto('/');
  await giveFiles(page, [
    { name: 'first.ply', buffer: Buffer.from(writePly(earlier)) },
    { name: 'clicks.json', buffer: Buffer.from(JSON.stringify(earlier.clicks)) },
  ]);
  await expect(page.locator('.contact-table')).toBeVisible({ timeout: 60_000 });
  await openSection(page, 'Follow-up');
  const choosing = page.waitForEvent('filechooser');
  await page.getByRole('button', { name: /Choose the next scan/ }).click();
  const next = Buffer.from(writePly(laterArch()));
  await (await choosing).setFiles({ name: 'second.ply', buffer: next, mimeType: 'application/octet-stream' });
  await expect(page.locator('tbody[data-change="11-21"]')).toBeVisible({ timeout: 90_000 });
  await settle(page);
  await alone(page, 'Follow-up');
  await expect(section(page, 6)).toHaveScreenshot('follow-up.png', TOLERANCE);
});
