import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { expect, type Locator, type Page } from '@playwright/test';
import { openSection } from './page-steps.ts';

/**
 * What it takes to compare a state of the page with how it looked when a person last looked at it. A font of the test's
 * own stands in for the machine's, so that words take the same room wherever this runs; hinting and the version of the
 * browser move edges by parts of a pixel, which the tolerance forgives. A lost style, a line that wraps or a part that
 * is gone is more. The view of the scan is left out where it is not what the picture is about. Look at a new picture
 * before it is renewed with --update-snapshots.
 */

const FOLDER = dirname(createRequire(import.meta.url).resolve('@fontsource/noto-sans/package.json'));
const WEIGHTS = [400, 600, 700] as const;
const fonts = () =>
  WEIGHTS.map((weight) => ({
    weight: String(weight),
    bytes: readFileSync(join(FOLDER, `files/noto-sans-latin-${weight}-normal.woff2`)).toString('base64'),
  }));

const STYLE = `:root { --font: "looks", sans-serif; --font-mono: "looks", monospace; }
* { caret-color: transparent !important; }
[data-small-stage] .stage { max-height: 500px; }`;

export const TOLERANCE = { maxDiffPixelRatio: 0.005 } as const;

export type Theme = 'light' | 'dark';

export const inTheme = (page: Page, colorScheme: Theme) =>
  page.emulateMedia({ colorScheme, reducedMotion: 'reduce' });

/** To be called before the page is visited. Style and fonts come in ways that the page's policy allows a script. */
export async function prepareLooks(page: Page) {
  await page.addInitScript(
    ({ css, faces }) => {
      document.addEventListener('DOMContentLoaded', () => {
        const sheet = new CSSStyleSheet();
        sheet.replaceSync(css);
        document.adoptedStyleSheets.push(sheet);
        for (const { weight, bytes } of faces) {
          const buffer = Uint8Array.from(atob(bytes), (c) => c.charCodeAt(0)).buffer;
          document.fonts.add(new FontFace('looks', buffer, { weight }));
        }
      });
    },
    { css: STYLE, faces: fonts() },
  );
}

/** Nothing runs any more and the font is there. */
export async function settle(page: Page) {
  await expect(page.locator('#worksheet')).not.toHaveAttribute('data-jobs', /running/, { timeout: 60_000 });
  await page.evaluate(async (weights) => {
    await Promise.all(weights.map((weight) => document.fonts.load(`${weight} 14px looks`)));
    await document.fonts.ready;
  }, WEIGHTS);
}

/** The look of the whole page, the view of the scan masked. */
export const withoutView = (page: Page) => ({
  ...TOLERANCE,
  mask: [page.locator('.stage-view')] as Locator[],
  maskColor: '#888',
});

export const section = (page: Page, number: number) =>
  page.locator('.sheet-section', { has: page.locator(`button[data-section="${number}"]`) });

export const smallStage = (page: Page, on: boolean) =>
  page.evaluate((small) => document.documentElement.toggleAttribute('data-small-stage', small), on);

/** The pointer and the focus are where they change nothing. */
export async function handsOff(page: Page) {
  await page.mouse.move(1430, 5);
  await page.evaluate(() => (document.activeElement as HTMLElement | null)?.blur());
}

/** All sections folded but this one, and so much room that nothing of it is cut; the view, drawn by software, stays small. */
export async function alone(page: Page, title: string, height = 2400) {
  await smallStage(page, true);
  await page.setViewportSize({ width: 1440, height });
  const open = page.locator('.sheet-toggle[aria-expanded="true"]');
  while ((await open.count()) > 0) await open.first().click();
  await openSection(page, title);
  await handsOff(page);
}
