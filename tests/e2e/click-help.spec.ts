import { fileURLToPath } from 'node:url';
import type { Page } from '@playwright/test';
import { expectAccessibleInBoth } from './axe.ts';
import {
  appears,
  frontFiles,
  OPEN_LINE,
  openDemo,
  openFiles,
  openSection,
  type PinPlace,
  placesOfPins,
  restingPins,
} from './page-steps.ts';
import { expect, test } from './watched-test.ts';

/** Help with the clicks and the brush, on the demo case in the built page. */

const root = fileURLToPath(new URL('../..', import.meta.url));
const artefact = (name: string) => `${root}.artefacts/${name}.png`;

const TEETH = ['17', '16', '15', '14', '13', '12', '11', '21', '22', '23', '24', '25', '26', '27'];

/** The demo seen from above, its teeth listed; returns where the pins are once they have come to rest. */
async function demoFromAbove(page: Page): Promise<PinPlace[]> {
  await openDemo(page);
  await openSection(page, 'Teeth');
  await page.keyboard.press('1');
  await expect(page.locator('button.scan-view-pin')).toHaveCount(TEETH.length);
  return restingPins(page);
}

async function clearClicks(page: Page) {
  await page.getByRole('button', { name: /Clear all clicks/ }).click();
  await expect(page.locator('button.scan-view-pin')).toHaveCount(0);
}

/** The demo without its clicks; returns where they were. */
async function clearedDemo(page: Page): Promise<PinPlace[]> {
  const places = await demoFromAbove(page);
  await clearClicks(page);
  await page.getByRole('radio', { name: 'Click teeth' }).check({ force: true });
  return places;
}

async function clickTeeth(page: Page, places: readonly PinPlace[], teeth: readonly string[]) {
  for (const tooth of teeth) {
    const place = places.find((one) => one.tooth === tooth);
    expect(place, `the pin of ${tooth}`).toBeDefined();
    await page.mouse.click(place!.x, place!.y);
    await expect(page.getByRole('button', { name: new RegExp(`^Click on tooth ${tooth}\\b`) })).toBeVisible();
  }
}

test('after three clicks the other places are proposed, one key accepts all, one is dragged; clicked from scratch', async ({
  page,
}) => {
  const places = await clearedDemo(page);
  await clickTeeth(page, places, ['17', '16', '15']);
  const proposals = page.locator('.scan-view-proposal');
  await appears(page.getByText(/11 places proposed/));
  await expect(proposals).toHaveCount(11);
  await page.screenshot({ path: artefact('click-help-proposed') });
  await expectAccessibleInBoth(page, 'places proposed', ['.scan-view-pin', '.scan-view-proposal']);

  // Nothing counts before it is accepted: three clicks, three teeth.
  await expect(page.locator('button.scan-view-pin')).toHaveCount(3);

  // A press accepts one; Escape takes the rest off and keeps what was accepted.
  await page.getByRole('button', { name: /^Proposed place of tooth 14/ }).click();
  await expect(page.locator('button.scan-view-pin')).toHaveCount(4);
  await expect(page.getByText(/10 places proposed/)).toBeVisible();
  await page.keyboard.press('Escape');
  await expect(proposals).toHaveCount(0);
  await expect(page.locator('button.scan-view-pin')).toHaveCount(4);
  await clickTeeth(page, places, ['13']);
  await appears(page.getByText(/9 places proposed/));
  await page.locator('.scan-view-host').focus();
  await page.keyboard.press('a');
  await expect(page.locator('button.scan-view-pin')).toHaveCount(14);
  const accepted = await placesOfPins(page);
  expect(accepted.map((place) => place.tooth).sort()).toEqual([...TEETH].sort());
  await appears(page.getByText(OPEN_LINE));
  await page.screenshot({ path: artefact('click-help-accepted') });

  // One step of undo takes back what one key accepted.
  await page.keyboard.press('Control+z');
  await expect(page.locator('button.scan-view-pin')).toHaveCount(5);

  // All from the beginning, on the page that is open: a proposal is dragged to where the tooth is.
  await clearClicks(page);
  await clickTeeth(page, places, ['17', '16']);
  const pin = page.getByRole('button', { name: /^Proposed place of tooth 11/ });
  await expect(pin).toBeVisible({ timeout: 30_000 });
  const box = (await pin.boundingBox())!;
  const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
  await page.mouse.move(x, y);
  await page.mouse.down();
  await page.mouse.move(x + 8, y + 4, { steps: 4 });
  await page.mouse.up();
  await expect(page.getByRole('button', { name: /^Click on tooth 11/ })).toBeVisible();
  const dropped = (await placesOfPins(page)).find((place) => place.tooth === '11')!;
  expect(Math.hypot(dropped.x - x - 8, dropped.y - y - 4)).toBeLessThan(3);
  await expect(page.locator('button.scan-view-pin')).toHaveCount(3);

  // Every tooth clicked by hand gets its number by itself.
  await clearClicks(page);
  await clickTeeth(page, places, TEETH);
  await appears(page.getByText(OPEN_LINE));
});

test('a stroke of the brush corrects the labels, is one step, and survives a reload', async ({ page }) => {
  await openFiles(page, frontFiles());
  await openSection(page, 'Teeth');
  await page.keyboard.press('1');
  const places = await restingPins(page);
  const strokes = page.locator('.scan-view-stroke');
  await page.getByRole('radio', { name: 'Paint' }).check({ force: true });
  const from = places.find((place) => place.tooth === '11')!;
  await page.mouse.move(from.x, from.y);
  await page.mouse.down();
  await page.mouse.move(from.x + 18, from.y + 6, { steps: 6 });
  await page.mouse.up();
  const handle = page.getByRole('button', { name: /Painted stroke of \d+ points for tooth 11/ });
  await expect(handle).toBeVisible();
  const count = await strokes.count();
  expect(count).toBeGreaterThan(3);
  await page.screenshot({ path: artefact('click-help-stroke') });

  await page.keyboard.press('Control+z');
  await expect(strokes).toHaveCount(0);
  await page.keyboard.press('Control+Shift+z');
  await expect(strokes).toHaveCount(count);
  await expect(page.getByText('saved on this device')).toBeVisible();
  await page.goto('/');
  await appears(page.locator('.contact-table'));
  await expect(strokes).toHaveCount(count);
});
