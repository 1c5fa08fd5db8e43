import { fileURLToPath } from 'node:url';
import type { Page } from '@playwright/test';
import { expect, test } from './watched-test.ts';

/** The result on screens of every size, and what is drawn, compared with how it looked when a person last looked at it. */

async function openDemo(page: Page) {
  await page.goto('/');
  await page.getByRole('button', { name: 'Open the demo case' }).first().click();
  await expect(page.getByText(/3 of 13 contacts are open/)).toBeVisible({ timeout: 90_000 });
}

const sideways = (page: Page) =>
  page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);

for (const [name, width, height] of [
  ['a phone', 390, 844],
  ['1440 x 900 at 200 % zoom', 720, 450],
  ['4K', 3840, 2160],
] as const) {
  test(`the result can be read on ${name}`, async ({ page }) => {
    await page.setViewportSize({ width, height });
    await openDemo(page);
    expect(await sideways(page)).toBe(0);
    const row = page.locator('tr[data-key="11-21"]');
    await row.scrollIntoViewIfNeeded();
    await row.click();
    await expect(page.getByRole('img', { name: /11-21|11 and 21/ }).first()).toBeVisible();
    await page.locator('.answer .headline').scrollIntoViewIfNeeded();
    await expect(page.locator('.answer .headline')).toContainText('3 tightening stages');
    expect(await sideways(page)).toBe(0);
    await page.screenshot({ path: `.artefacts/screen-${width}.png` });
  });
}

test('no tooth number lies over another one, from any side', async ({ page }) => {
  await openDemo(page);
  for (const view of ['1', '2', '3', '4']) {
    await page.keyboard.press(view);
    const overlaps = async () => {
      const boxes = await page
        .locator('.scan-view-number:visible')
        .evaluateAll((elements) =>
          elements
            .map((element) => element.getBoundingClientRect())
            .map(({ left, right, top, bottom }) => ({ left, right, top, bottom })),
        );
      expect(boxes.length).toBeGreaterThan(3);
      return boxes.flatMap((a, i) =>
        boxes
          .slice(i + 1)
          .filter(
            (b) =>
              a.left < b.right - 1 && b.left < a.right - 1 && a.top < b.bottom - 1 && b.top < a.bottom - 1,
          ),
      ).length;
    };
    await expect.poll(overlaps, { message: `view ${view}` }).toBe(0);
  }
});

/**
 * Few and small on purpose, and without words, which look different wherever other fonts are installed. A new look is
 * looked at before its picture is renewed with --update-snapshots.
 */
test.describe('pictures', () => {
  // The policy would refuse the style sheet that hides the words.
  test.use({ bypassCSP: true });
  const stylePath = fileURLToPath(new URL('without-words.css', import.meta.url));

  for (const theme of ['light', 'dark'] as const) {
    test(`plot, map and section look as they did, ${theme}`, async ({ page }) => {
      await page.emulateMedia({ colorScheme: theme, reducedMotion: 'reduce' });
      await openDemo(page);
      // Bounds that move by a few hundredths are no new look; a lost style or drawing is far more than this.
      const options = { maxDiffPixelRatio: 0.02, stylePath };
      await expect(page.locator('.contact-plot-drawing')).toHaveScreenshot(`plot-${theme}.png`, options);
      await page.locator('tr[data-key="11-21"]').click();
      await expect(page.locator('.section-picture-box')).toHaveScreenshot(`section-${theme}.png`, options);
      await page.getByText('Map of the arch').click();
      await expect(page.locator('.arch-map-drawing')).toHaveScreenshot(`map-${theme}.png`, options);
    });
  }
});
