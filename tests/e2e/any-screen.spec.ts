import type { Page } from '@playwright/test';
import { expectAccessibleInBoth } from './axe.ts';
import { openDemo } from './page-steps.ts';
import { expect, test } from './watched-test.ts';

/** The result on screens of every size. */

const sideways = (page: Page) =>
  page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);

test('the result can be read on a phone, at 200 % zoom, on a small screen and in 4K; no tooth number lies over another one', async ({
  page,
}) => {
  await page.setViewportSize({ width: 390, height: 844 });
  await openDemo(page);
  for (const [name, width, height] of [
    ['a phone', 390, 844],
    ['1440 x 900 at 200 % zoom', 720, 450],
    ['a small screen', 1024, 768],
    ['4K', 3840, 2160],
  ] as const) {
    await test.step(name, async () => {
      await page.setViewportSize({ width, height });
      expect(await sideways(page)).toBe(0);
      const row = page.locator('tr[data-key="11-21"]');
      await row.scrollIntoViewIfNeeded();
      await row.click();
      await expect(page.getByRole('img', { name: /11-21|11 and 21/ }).first()).toBeVisible();
      await page.locator('.answer .headline').scrollIntoViewIfNeeded();
      await expect(page.locator('.answer .headline')).toContainText('3 tightening stages');
      expect(await sideways(page)).toBe(0);
      // Pins and marks stand where the teeth are: their place is essential (WCAG 2.5.8).
      await expectAccessibleInBoth(page, name, ['.scan-view-pin', '.scan-view-mark']);
      await page.screenshot({ path: `.artefacts/screen-${width}.png` });
      // The section is put away again.
      await row.click();
    });
  }
  await page.setViewportSize({ width: 1440, height: 900 });
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
