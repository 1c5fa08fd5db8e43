import { expectAccessibleInBoth } from './axe.ts';
import {
  alone,
  handsOff,
  inTheme,
  prepareLooks,
  section,
  settle,
  smallStage,
  TOLERANCE,
  withoutView,
} from './looks.ts';
import { appears, giveFiles, openDemo, openSection } from './page-steps.ts';
import { expect, test } from './watched-test.ts';

/** The states of the worksheet as they looked when a person last looked at them. */

test('before a case is open', async ({ page }) => {
  await prepareLooks(page);
  await page.goto('/');
  await settle(page);
  await expect(page).toHaveScreenshot('welcome.png', TOLERANCE);
});

test('a case with its answer, light and dark', async ({ page }) => {
  await prepareLooks(page);
  await openDemo(page);
  await settle(page);
  await page.locator('tr[data-key="11-21"]').click();
  await handsOff(page);
  for (const theme of ['light', 'dark'] as const) {
    await inTheme(page, theme);
    await expect(page).toHaveScreenshot(`contacts-${theme}.png`, withoutView(page));
  }
  for (const theme of ['light', 'dark'] as const) {
    await inTheme(page, theme);
    await expect(page.locator('.section-picture')).toHaveScreenshot(`section-${theme}.png`, TOLERANCE);
  }
  await page.getByText('Map of the arch').click();
  await handsOff(page);
  for (const theme of ['light', 'dark'] as const) {
    await inTheme(page, theme);
    await expect(page.locator('.arch-map-drawing')).toHaveScreenshot(`map-${theme}.png`, TOLERANCE);
  }
  for (const [title, number] of [
    ['Teeth', 2],
    ['Closure', 4],
    ['Record', 5],
  ] as const) {
    await alone(page, title);
    for (const theme of ['light', 'dark'] as const) {
      await inTheme(page, theme);
      const name = `${title.toLowerCase()}-${theme}.png`;
      await expect(section(page, number)).toHaveScreenshot(name, TOLERANCE);
    }
  }
});

test('other answers: nothing to close, a new plan, not by tightening; a refused file, a small screen, a phone', async ({
  page,
}) => {
  await prepareLooks(page);
  await openDemo(page);
  const headline = page.locator('.answer .headline');
  const set = async (label: RegExp, value: string) => {
    const field = page.getByRole('spinbutton', { name: label }).first();
    await field.fill(value);
    await field.press('Enter');
  };
  await openSection(page, 'Contacts');
  await set(/limit/i, '0.60');
  await expect(headline).toHaveText('No tightening stages are needed.');
  await settle(page);
  await alone(page, 'Closure');
  await expect(section(page, 4)).toHaveScreenshot('none-needed.png', TOLERANCE);
  await expectAccessibleInBoth(page, 'nothing to close');

  await openSection(page, 'Contacts');
  await set(/limit/i, '0.1');
  await openSection(page, 'Closure');
  await page.locator('.settings > summary').click();
  await set(/Most stages/, '1');
  await expect(headline).toContainText('A new plan is needed');
  await page.locator('.settings > summary').click();
  await settle(page);
  await alone(page, 'Closure');
  await expect(section(page, 4)).toHaveScreenshot('new-plan.png', TOLERANCE);
  await expectAccessibleInBoth(page, 'a new plan');

  await openSection(page, 'Teeth');
  for (const fixed of await page.getByRole('checkbox', { name: /must not be moved/ }).all())
    await fixed.check();
  await expect(headline).toContainText('can’t be closed by tightening');
  await settle(page);
  await alone(page, 'Closure');
  await expect(section(page, 4)).toHaveScreenshot('not-by-tightening.png', TOLERANCE);
  await expectAccessibleInBoth(page, 'not by tightening');

  await openSection(page, 'Scan');
  await giveFiles(page, [{ name: 'broken.stl', buffer: Buffer.alloc(84, 7) }]);
  await appears(page.getByRole('alert'));
  await alone(page, 'Contacts', 768);
  await smallStage(page, false);
  await page.setViewportSize({ width: 1024, height: 768 });
  await settle(page);
  await expect(page).toHaveScreenshot('refused-1024.png', withoutView(page));

  await page.getByRole('alert').getByRole('button', { name: 'Dismiss' }).click();
  await page.setViewportSize({ width: 390, height: 844 });
  await page.evaluate(() => window.scrollTo(0, 0));
  await expect(page).toHaveScreenshot('phone.png', withoutView(page));
});

test.describe('drawn', () => {
  test.use({ drawn: true });

  test('the scan in the view', async ({ page }) => {
    await prepareLooks(page);
    await openDemo(page);
    await settle(page);
    await page.keyboard.press('1');
    // Shading comes from the driver of the machine: hues may differ a little, shapes and numbers may not.
    await expect(page.locator('.stage-view')).toHaveScreenshot('view.png', {
      maxDiffPixelRatio: 0.03,
      threshold: 0.3,
    });
  });
});
