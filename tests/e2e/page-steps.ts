import { expect, type Page } from '@playwright/test';

/** Steps that several flows begin with. */

export const OPEN_LINE = /3 of 13 contacts are open/;

export async function openDemo(page: Page) {
  await page.goto('/');
  await page.getByRole('button', { name: 'Open the demo case' }).first().click();
  await expect(page.getByText(OPEN_LINE)).toBeVisible({ timeout: 90_000 });
}

export async function openSection(page: Page, title: string) {
  const toggle = page.getByRole('button', { name: new RegExp(`^(\\d )?${title}\\b`) }).first();
  if ((await toggle.getAttribute('aria-expanded')) === 'false') await toggle.click();
  await expect(toggle).toHaveAttribute('aria-expanded', 'true');
  await toggle.evaluate((element) => element.scrollIntoView({ block: 'start' }));
}

/** Gives files to the page as its file dialog would. */
export async function giveFiles(
  page: Page,
  files: readonly { readonly name: string; readonly buffer: Buffer }[],
) {
  await page
    .locator('input[type=file][multiple]')
    .first()
    .setInputFiles(files.map((file) => ({ ...file, mimeType: 'application/octet-stream' })));
}
