import { expectAccessible, expectAccessibleInBoth } from './axe.ts';
import { appears, giveFiles, OPEN_LINE } from './page-steps.ts';
import { expect, test } from './watched-test.ts';

/**
 * WCAG 2.2 A and AA by axe-core, in the states of the worksheet that a person meets. States that another flow makes
 * are looked at there: encrypted case, stopped calculation, second tab, full device and no WebGL in
 * `nothing-lost.spec.ts`, restoration and desks in `lab-desks.spec.ts`, the next scan in `follow-up.spec.ts`, proposed
 * places in `click-help.spec.ts`, the newer version in `offline.spec.ts`.
 */

test('empty, a refused file, busy, everything open, keys, without clicks, a phone', async ({ page }) => {
  await page.goto('/');
  await expectAccessibleInBoth(page, 'empty');
  await giveFiles(page, [{ name: 'broken.stl', buffer: Buffer.alloc(84, 7) }]);
  await expect(page.getByRole('alert').first()).toBeVisible();
  await expectAccessibleInBoth(page, 'a refused file');
  await page.getByRole('button', { name: 'Open the demo case' }).first().click();
  await expect(page.getByRole('progressbar').first()).toBeVisible();
  await expectAccessible(page, 'while it works');
  await appears(page.getByText(OPEN_LINE));

  for (const section of [1, 2, 3, 4, 5, 6, 7]) {
    const toggle = page.locator(`button[data-section="${section}"]`);
    if ((await toggle.getAttribute('aria-expanded')) === 'false') await toggle.click();
  }
  await page.locator('details').evaluateAll((all) => {
    for (const more of all) (more as HTMLDetailsElement).open = true;
  });
  await page.locator('tr[data-key="11-21"]').click();
  await expect(page.getByRole('img', { name: /11-21|11 and 21/ }).first()).toBeVisible();
  await expectAccessibleInBoth(page, 'everything open');

  await page.keyboard.press('?');
  await expect(page.getByRole('dialog')).toBeVisible();
  await expectAccessibleInBoth(page, 'the list of keys');
  await page.keyboard.press('Escape');
  await page.keyboard.press('Shift+Digit2');
  await page.getByRole('button', { name: /Clear all clicks/ }).click();
  await expect(page.locator('button.scan-view-pin')).toHaveCount(0);
  await expectAccessibleInBoth(page, 'without clicks');
  await page.keyboard.press('Control+z');
  await appears(page.getByText(OPEN_LINE));
  await page.setViewportSize({ width: 390, height: 844 });
  // Pins stand where the teeth are, however small the scan is drawn: their place is essential (WCAG 2.5.8).
  await expectAccessibleInBoth(page, 'a phone', ['.scan-view-pin']);
});
