import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import type { Page } from '@playwright/test';
import { writePly } from '../../fixtures/write-ply.ts';
import { earlierArch, laterArch } from '../helpers/earlier-later.ts';
import { appears, OPEN_LINE } from './page-steps.ts';
import { expect, test } from './watched-test.ts';

/** Files that come by drop and by paste, anywhere on the page and whatever is unfolded. */

const root = fileURLToPath(new URL('../..', import.meta.url));
/** Promises as many triangles as 32 bits can count, and holds none. */
const broken = {
  name: 'broken.stl',
  bytes: Buffer.concat([Buffer.alloc(80), Buffer.from([0xff, 0xff, 0xff, 0xff]), Buffer.alloc(40)]),
};

interface GivenFile {
  readonly name: string;
  readonly bytes: Buffer;
}

let scan: GivenFile;
let clicks: GivenFile;
let next: GivenFile;
// Not while the runner looks which tests there are: that would make them once more.
test.beforeAll(() => {
  const earlier = earlierArch();
  scan = { name: 'first.ply', bytes: Buffer.from(writePly(earlier)) };
  clicks = { name: 'clicks.json', bytes: Buffer.from(JSON.stringify(earlier.clicks)) };
  next = { name: 'second.ply', bytes: Buffer.from(writePly(laterArch())) };
});

/** Hands files to the page as a drop or a paste on the element, through the same events as the browser's own. */
async function hand(page: Page, how: 'drop' | 'paste', onto: string, files: readonly GivenFile[]) {
  await page
    .locator(onto)
    .first()
    .evaluate(
      (element, { kind, given }) => {
        const data = new DataTransfer();
        for (const { name, text } of given) {
          data.items.add(new File([Uint8Array.from(atob(text), (c) => c.charCodeAt(0))], name));
        }
        const init = { bubbles: true, cancelable: true };
        element.dispatchEvent(
          kind === 'drop'
            ? new DragEvent('drop', { ...init, dataTransfer: data })
            : new ClipboardEvent('paste', { ...init, clipboardData: data }),
        );
      },
      { kind: how, given: files.map(({ name, bytes }) => ({ name, text: bytes.toString('base64') })) },
    );
}

const dragOver = (page: Page) =>
  page.evaluate(() => {
    const data = new DataTransfer();
    data.items.add(new File(['x'], 'x.ply'));
    document.body.dispatchEvent(
      new DragEvent('dragover', { bubbles: true, cancelable: true, dataTransfer: data }),
    );
  });

test('a scan with its clicks is dropped on the welcome, the next scan on its field', async ({ page }) => {
  await page.goto('/');
  await dragOver(page);
  await expect(page.locator('.drop-field')).toHaveCount(1);
  await page.screenshot({ path: `${root}.artefacts/drop-first-1440.png` });
  await hand(page, 'drop', '.drop-field', [scan, clicks]);
  await appears(page.locator('.contact-table'));
  await expect(page.locator('.drop-sheet')).toHaveCount(0);

  await dragOver(page);
  await expect(page.locator('.drop-field')).toHaveCount(2);
  await hand(page, 'drop', '[data-drop="next"]', [next]);
  await expect(page.locator('tbody[data-change="11-21"]')).toBeInViewport({ timeout: 90_000 });
});

test('a whole case is pasted; a refusal is in sight whatever is folded and wherever it is scrolled to', async ({
  page,
}) => {
  await page.goto('/');
  const demo = (name: string) => ({ name, bytes: readFileSync(`${root}public/demo/${name}`) });
  await hand(page, 'paste', 'body', [demo('demo-arch.ply'), demo('demo-clicks.json')]);
  await appears(page.getByText(OPEN_LINE));
  await expect(page.locator('button[data-section="1"]')).toHaveAttribute('aria-expanded', 'false');
  await page.locator('button[data-section="5"]').scrollIntoViewIfNeeded();
  for (const how of ['drop', 'paste'] as const) {
    await hand(page, how, 'main', [broken]);
    const alert = page.getByRole('alert');
    await expect(alert).toHaveCount(1);
    await expect(alert).toBeInViewport();
    await expect(alert).toContainText(`"${broken.name}": The STL file is cut short`);
    await expect(alert).toContainText('its header promises 4,294,967,295 triangles, the file holds 0');
    await page.screenshot({ path: `${root}.artefacts/refused-1440.png` });
    await alert.getByRole('button', { name: 'Dismiss' }).click();
    await expect(alert).toHaveCount(0);
    await expect(page.getByText(OPEN_LINE)).toBeVisible();
  }
  // Clicks that are none, with the scan they would belong to: the scan is opened, and the refusal told.
  const noClicks = { name: 'clicks.json', bytes: Buffer.from('{"jaw": "sideways"}') };
  await hand(page, 'drop', 'main', [scan, noClicks]);
  await expect(page.locator('.case-name')).toHaveText('first.ply', { timeout: 60_000 });
  await expect(page.getByRole('alert')).toBeInViewport();
  await expect(page.getByRole('alert')).toContainText('"clicks.json": ');
});
