import { readFileSync } from 'node:fs';
import type { Page } from '@playwright/test';
import { appears, OPEN_LINE } from './page-steps.ts';
import { expect, test } from './watched-test.ts';

/** The whole job without a pointer: open, click teeth, read, enter floss, plan, copy the note, take a file along. */

/** What Shift and an arrow shift the scan by, px. */
const PAN_STEP_PX = 14;

/** In place of the printer, which a headless browser lacks: keeps what a frame would put on paper. */
function keepWhatIsPrinted() {
  window.print = () => {
    top!.document.documentElement.dataset.printed = `${document.title}\n${document.body.textContent}`;
    window.dispatchEvent(new Event('afterprint'));
  };
}

/** Tabs on until the wanted element has the focus; fails when it cannot be reached. */
async function tabTo(page: Page, selector: string, text = '', most = 160) {
  const isThere = () =>
    page.evaluate(
      ([wanted, words]) => {
        const { activeElement } = document;
        return Boolean(activeElement?.matches(wanted!) && activeElement.textContent?.includes(words!));
      },
      [selector, text],
    );
  for (let k = 0; k < most; k++) {
    if (await isThere()) return;
    await page.keyboard.press('Tab');
  }
  throw new Error(`${selector} was not reached by ${most} tabs.`);
}

/** Where the click of a tooth is, from the middle of the view, px. */
async function offsetOf(page: Page, tooth: string) {
  return page.evaluate((number) => {
    const host = document.querySelector('.scan-view-host')!.getBoundingClientRect();
    const pin = [...document.querySelectorAll('button.scan-view-pin')].find((one) =>
      one.getAttribute('aria-label')?.includes(`tooth ${number}`),
    );
    const box = pin!.getBoundingClientRect();
    return {
      x: box.x + box.width / 2 - host.x - host.width / 2,
      y: box.y + box.height / 2 - host.y - host.height / 2,
    };
  }, tooth);
}

async function pressTimes(page: Page, key: string, times: number) {
  for (let k = 0; k < times; k++) await page.keyboard.press(key);
}

test('the whole job by keyboard alone', async ({ page, context }) => {
  await context.grantPermissions(['clipboard-read', 'clipboard-write']);
  await context.addInitScript(keepWhatIsPrinted);
  await page.goto('/');
  await tabTo(page, '.welcome button.primary');
  await page.keyboard.press('Enter');
  await appears(page.getByText(OPEN_LINE));

  // Teeth: all clicks off, three set again by keys, the proposed rest accepted by one.
  await page.keyboard.press('1');
  await expect(page.locator('button.scan-view-pin')).toHaveCount(14);
  const places = {
    17: await offsetOf(page, '17'),
    16: await offsetOf(page, '16'),
    15: await offsetOf(page, '15'),
  };
  await page.keyboard.press('Shift+Digit2');
  await tabTo(page, 'button[data-section="2"]');
  await tabTo(page, 'button', 'Clear all clicks');
  await page.keyboard.press('Enter');
  await expect(page.locator('button.scan-view-pin')).toHaveCount(0);
  await page.keyboard.press('t');
  await tabTo(page, '.scan-view-host');
  // An outline of the view itself lies under its picture in WebKit: a ring of its own lies over everything in it.
  const ring = await page.locator('.scan-view-host').evaluate((host) => {
    const { content, position, outlineWidth, outlineStyle } = getComputedStyle(host, '::after');
    return [content, position, outlineWidth, outlineStyle];
  });
  expect(ring).toEqual(['""', 'absolute', '3px', 'solid']);
  let at = { x: 0, y: 0 };
  for (const tooth of ['17', '16', '15'] as const) {
    const wanted = places[tooth];
    const right = Math.round((-wanted.x - at.x) / PAN_STEP_PX);
    const down = Math.round((-wanted.y - at.y) / PAN_STEP_PX);
    await pressTimes(page, right > 0 ? 'Shift+ArrowRight' : 'Shift+ArrowLeft', Math.abs(right));
    await pressTimes(page, down > 0 ? 'Shift+ArrowDown' : 'Shift+ArrowUp', Math.abs(down));
    at = { x: at.x + right * PAN_STEP_PX, y: at.y + down * PAN_STEP_PX };
    await page.keyboard.press('Enter');
    await expect(
      page.getByRole('button', { name: new RegExp(`^Click on tooth ${tooth}\\b`) }),
    ).toBeAttached();
  }
  await appears(page.getByText(/11 places proposed/));
  await page.keyboard.press('a');
  await appears(page.getByText(OPEN_LINE));

  // Contacts: the next one, what floss says, the views.
  await page.keyboard.press('n');
  await expect(page.locator('tr[data-key="17-16"]')).toHaveAttribute('aria-selected', 'true');
  await page.keyboard.press('Shift+Digit3');
  await tabTo(page, '.floss input[type="radio"]');
  await page.keyboard.press('ArrowRight');
  await expect(page.locator('tr[data-key="17-16"] .row-floss')).toContainText('holds');

  // Closure: another span looked at, its stages played.
  await page.keyboard.press('Shift+Digit4');
  await tabTo(page, '.matrix-span[aria-pressed="false"]');
  await page.keyboard.press('Enter');
  await tabTo(page, '.player-button');
  await page.keyboard.press('Enter');
  await expect(page.locator('.stage-flag')).toContainText('Simulated');
  await page.keyboard.press('Enter');

  // Record: the note by one key, a file by another.
  await page.keyboard.press('c');
  await expect(page.getByText('The note for the order is copied.')).toBeVisible();
  expect(await page.evaluate(() => navigator.clipboard.readText())).toContain('Closure note');
  // What comes on paper is the record, not the screen: neither its rail nor its tools.
  await page.keyboard.press('Control+p');
  const printed = () => page.evaluate(() => document.documentElement.dataset.printed ?? '');
  await expect.poll(printed).toMatch(OPEN_LINE);
  expect(await printed()).toContain('All contacts from the patient’s right to left.');
  expect(await printed()).not.toContain('Clear all clicks');
  await expect(page.locator('.player-button')).toBeFocused();
  await page.keyboard.press('Shift+Digit5');
  await tabTo(page, 'button[aria-label="Save contacts.csv"]');
  const [file] = await Promise.all([page.waitForEvent('download'), page.keyboard.press('Enter')]);
  // What is taken along is what the table shows: the same contacts, a number where one is shown.
  const lines = readFileSync(await file.path(), 'utf8')
    .trimEnd()
    .split('\n');
  const columns = lines[0]!.split(',');
  const column = (cells: readonly string[], name: string) => cells[columns.indexOf(name)] ?? '';
  const saved = lines.slice(1).map((line) => {
    const cells = line.split(',');
    const gap = column(cells, 'gap_mm');
    return {
      key: `${column(cells, 'tooth_a')}-${column(cells, 'tooth_b')}`,
      status: column(cells, 'status'),
      gap: gap === '' ? '–' : Number(gap).toFixed(2),
    };
  });
  const shown = await page.locator('tr[data-key]').evaluateAll((rows) =>
    rows.map((row) => ({
      key: row.getAttribute('data-key'),
      status: row.getAttribute('data-status'),
      gap: (row.querySelector('td.number')?.textContent ?? '').split('±')[0]!.trim(),
    })),
  );
  expect(saved).toHaveLength(13);
  expect(saved).toEqual(shown);
});
