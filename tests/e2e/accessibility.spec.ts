import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Page } from '@playwright/test';
import { expect, test } from './watched-test.ts';

/** WCAG 2.2 A and AA by axe-core, in the states a person meets; the policy forbids a script tag, so it is evaluated. */

const axeSource = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const TAGS = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];

interface AxeWindow {
  readonly axe: {
    run(
      context: { include: string[][]; exclude: string[][] },
      options: { runOnly: string[] },
    ): Promise<{ violations: { id: string; nodes: { html: string }[] }[]; passes: unknown[] }>;
  };
}

async function audit(page: Page, exclude: readonly string[] = []) {
  await page.evaluate(axeSource);
  return page.evaluate(
    async ({ tags, left }) => {
      const { axe } = window as unknown as AxeWindow;
      const { violations, passes } = await axe.run(
        { include: [['html']], exclude: left.map((one) => [one]) },
        { runOnly: tags },
      );
      return {
        passes: passes.length,
        violations: violations.map(({ id, nodes }) => `${id}: ${nodes.map((node) => node.html).join(' | ')}`),
      };
    },
    { tags: TAGS, left: exclude },
  );
}

for (const theme of ['light', 'dark'] as const) {
  test(`empty and with everything open, ${theme}`, async ({ page }) => {
    await page.emulateMedia({ colorScheme: theme, reducedMotion: 'reduce' });
    await page.goto('/');
    const empty = await audit(page);
    expect(empty.violations).toEqual([]);
    expect(empty.passes).toBeGreaterThan(10);
    await page.getByRole('button', { name: 'Open the demo case' }).first().click();
    await expect(page.getByText(/3 of 13 contacts are open/)).toBeVisible({ timeout: 90_000 });
    for (const section of [1, 2, 3, 4, 5]) {
      const toggle = page.locator(`button[data-section="${section}"]`);
      if ((await toggle.getAttribute('aria-expanded')) === 'false') await toggle.click();
    }
    await page.locator('tr[data-key="11-21"]').click();
    await expect(page.getByRole('img', { name: /11-21|11 and 21/ }).first()).toBeVisible();
    const full = await audit(page);
    expect(full.violations).toEqual([]);
    expect(full.passes).toBeGreaterThan(20);
    await page.screenshot({ path: `.artefacts/everything-open-${theme}.png` });
  });
}

test('a refused file, a scan without clicks, the list of keys, a phone', async ({ page }) => {
  await page.goto('/');
  await page
    .locator('input[type=file]')
    .first()
    .setInputFiles({ name: 'broken.stl', mimeType: 'application/octet-stream', buffer: Buffer.alloc(84, 7) });
  await expect(page.getByRole('alert').first()).toBeVisible();
  expect((await audit(page)).violations, 'a refused file').toEqual([]);
  await page.getByRole('button', { name: 'Open the demo case' }).first().click();
  await expect(page.getByRole('progressbar').first()).toBeVisible();
  expect((await audit(page)).violations, 'while it works').toEqual([]);
  await expect(page.getByText(/3 of 13 contacts are open/)).toBeVisible({ timeout: 90_000 });
  await page.keyboard.press('?');
  await expect(page.getByRole('dialog')).toBeVisible();
  expect((await audit(page)).violations, 'the list of keys').toEqual([]);
  await page.keyboard.press('Escape');
  await page.keyboard.press('Shift+Digit2');
  await page.getByRole('button', { name: /Clear all clicks/ }).click();
  await expect(page.locator('button.scan-view-pin')).toHaveCount(0);
  expect((await audit(page)).violations, 'without clicks').toEqual([]);
  await page.keyboard.press('Control+z');
  await expect(page.getByText(/3 of 13 contacts are open/)).toBeVisible({ timeout: 90_000 });
  await page.setViewportSize({ width: 390, height: 844 });
  // Pins stand where the teeth are, however small the scan is drawn: their place is essential (WCAG 2.5.8).
  expect((await audit(page, ['.scan-view-pin'])).violations, 'a phone').toEqual([]);
});
