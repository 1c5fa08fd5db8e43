import { expect, type Locator, type Page } from '@playwright/test';
import { makeArch } from '../../fixtures/make-arch.ts';
import { FRONT } from '../../fixtures/specs.ts';
import { writePly } from '../../fixtures/write-ply.ts';

/** Steps that several flows begin with. */

export const OPEN_LINE = /3 of 13 contacts are open/;

export interface GivenFile {
  readonly name: string;
  readonly buffer: Buffer;
}

/** Waits without the growing rests between two looks that an expectation has: for what takes seconds. */
export const appears = (wanted: Locator, timeout = 90_000) => wanted.waitFor({ state: 'visible', timeout });

export async function openDemo(page: Page) {
  await page.goto('/');
  await page.getByRole('button', { name: 'Open the demo case' }).first().click();
  await appears(page.getByText(OPEN_LINE));
}

/** Made once for all files that a process of the runner takes. */
let front: { readonly scan: Buffer; readonly clicks: Buffer } | null = null;

/** A small case: the scan of four teeth and its clicks. */
export function frontFiles(name = 'front.ply'): GivenFile[] {
  if (front === null) {
    const arch = makeArch({ ...FRONT, gridMm: 0.3, toothEdgeMm: 0.34, gumEdgeMm: 0.9 });
    front = { scan: Buffer.from(writePly(arch)), clicks: Buffer.from(JSON.stringify(arch.clicks)) };
  }
  return [
    { name, buffer: front.scan },
    { name: 'clicks.json', buffer: front.clicks },
  ];
}

export async function openFiles(page: Page, files: readonly GivenFile[]) {
  await page.goto('/');
  await giveFiles(page, files);
  await appears(page.locator('.contact-table'));
}

export async function openSection(page: Page, title: string) {
  const toggle = page.getByRole('button', { name: new RegExp(`^(\\d )?${title}\\b`) }).first();
  if ((await toggle.getAttribute('aria-expanded')) === 'false') await toggle.click();
  await expect(toggle).toHaveAttribute('aria-expanded', 'true');
  await toggle.evaluate((element) => element.scrollIntoView({ block: 'start' }));
}

/** Gives files to the page as its file dialog would. */
export async function giveFiles(page: Page, files: readonly GivenFile[]) {
  await page
    .locator('input[type=file][multiple]')
    .first()
    .setInputFiles(files.map((file) => ({ ...file, mimeType: 'application/octet-stream' })));
}

/** Presses a button that asks for files, and gives them. */
export async function chooseFiles(page: Page, button: RegExp, files: readonly GivenFile[]) {
  const choosing = page.waitForEvent('filechooser');
  await page.getByRole('button', { name: button }).click();
  await (await choosing).setFiles(files.map((file) => ({ ...file, mimeType: 'application/octet-stream' })));
}

export interface PinPlace {
  readonly tooth: string;
  readonly x: number;
  readonly y: number;
}

/** Where the clicks are on the screen; a tooth's number, or gum. */
export function placesOfPins(page: Page): Promise<PinPlace[]> {
  return page.locator('button.scan-view-pin').evaluateAll((elements) =>
    elements.map((element) => {
      const box = element.getBoundingClientRect();
      const tooth = /tooth (\d+)/.exec(element.getAttribute('aria-label') ?? '')?.[1] ?? 'gum';
      return { tooth, x: box.x + box.width / 2, y: box.y + box.height / 2 };
    }),
  );
}

/** So many frames of the page the pins stand still before they are taken to rest: what was just asked for has begun by then. */
const RESTING_FRAMES = 12;

/** The same, once the sight has come to rest. */
export async function restingPins(page: Page): Promise<PinPlace[]> {
  await page.locator('button.scan-view-pin').evaluateAll(async (elements, frames) => {
    let before = '';
    for (let still = 0; still < frames; ) {
      await new Promise(requestAnimationFrame);
      const now = elements
        .map((element) => Object.values(element.getBoundingClientRect().toJSON()).join())
        .join();
      still = now === before ? still + 1 : 0;
      before = now;
    }
  }, RESTING_FRAMES);
  return placesOfPins(page);
}
