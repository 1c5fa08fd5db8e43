import { readFileSync } from 'node:fs';
import type { Page } from '@playwright/test';
import { type CrownShell, makeArch, makeCrownShells, type SyntheticArch } from '../../fixtures/make-arch.ts';
import { FRONT } from '../../fixtures/specs.ts';
import { writePly } from '../../fixtures/write-ply.ts';
import { writeBinaryStl } from '../../fixtures/write-stl.ts';
import { expectAccessibleInBoth } from './axe.ts';
import { alone, handsOff, prepareLooks, section, settle, TOLERANCE, withoutView } from './looks.ts';
import { appears, chooseFiles, type GivenFile, openFiles, openSection } from './page-steps.ts';
import { expect, test } from './watched-test.ts';

/** The jobs of technician and researcher: a restoration, separate crowns, agreement of tables. */

const SPEC = { ...FRONT, gridMm: 0.26, gaps: { '12-11': 0.45, '11-21': 0.3 } };
let arch: SyntheticArch;
let shells: readonly CrownShell[];
let scan: GivenFile;
let clicks: GivenFile;
// Not while the runner looks which tests there are: that would make them once more.
test.beforeAll(() => {
  arch = makeArch(SPEC);
  shells = makeCrownShells(SPEC, 0.3);
  scan = { name: 'prepared.ply', buffer: Buffer.from(writePly(arch)) };
  clicks = { name: 'clicks.json', buffer: Buffer.from(JSON.stringify(arch.clicks)) };
});

const shellOf = (tooth: number) => shells.find((shell) => shell.tooth === tooth)!;
/** Drawn 0.4 mm towards 21: 0.10 mm of overlap there, 0.85 mm of space behind. */
function pressed() {
  const pair = arch.truth.pairs.find(({ toothA }) => toothA === 11)!;
  const way = pair.pointB.map((x, k) => (x - pair.pointA[k]!) / pair.trueGapMm);
  const { positions, triangles } = shellOf(11);
  return { positions: positions.map((x, i) => x + 0.4 * way[i % 3]!), triangles };
}

const stl = (name: string, mesh: Parameters<typeof writeBinaryStl>[0]) => ({
  name,
  buffer: Buffer.from(writeBinaryStl(mesh)),
});

/** The restoration is in the picture, and its button takes it out and puts it back. */
async function isDrawn(page: Page) {
  const button = page
    .getByRole('toolbar', { name: 'Look at the scan' })
    .getByRole('button', { name: 'Restoration' });
  const { x, y, width, height } = (await page.locator('.scan-view-canvas').boundingBox())!;
  const tools = 60;
  const clip = { x, y: y + tools, width, height: height - tools };
  const picture = () => page.screenshot({ clip });
  await expect(button).toHaveAttribute('aria-pressed', 'true');
  const marks = page.locator('.scan-view-mark-fit');
  await expect(marks).toHaveCount(2);
  await expect(marks.and(page.getByLabel(/^Restoration, mesial against 21: too tight/))).toBeVisible();
  const drawn = await picture();
  await button.click();
  await expect.poll(async () => (await picture()).equals(drawn)).toBe(false);
  await expect(marks).toHaveCount(0);
  await button.click();
  await expect.poll(async () => (await picture()).equals(drawn)).toBe(true);
}

test.describe('in the view', () => {
  test.use({ drawn: true });

  test('a restoration is held against its neighbours, and the target can be changed', async ({ page }) => {
    await prepareLooks(page);
    await openFiles(page, [scan, clicks]);
    await openSection(page, 'Restoration');
    // The file does not say which tooth it is: the page asks.
    await chooseFiles(page, /Choose the restoration/, [stl('design.stl', pressed())]);
    await expect(page.getByText('Say which tooth it replaces')).toBeVisible();
    await page.getByLabel('It replaces tooth').selectOption('11');
    const mesial = page.locator('.fit-side[data-side="mesial"]');
    await appears(mesial);
    await expect(mesial).toHaveAttribute('data-status', 'too-tight');
    await expect(mesial.locator('.fit-advice')).toContainText('take off');
    await expect(page.locator('.fit-side[data-side="distal"]')).toHaveAttribute('data-status', 'open');
    const space = Number(
      (await mesial.locator('.fit-space').textContent())!.split('±')[0]!.replace('−', '-'),
    );
    expect(Math.abs(space + 0.1)).toBeLessThan(0.03);
    await expect(mesial.locator('.contact-map .cm-band-0')).toHaveCount(1);
    await expect(mesial.locator('.section-picture svg')).toBeVisible();
    await settle(page);
    await isDrawn(page);
    await alone(page, 'Restoration', 3000);
    await expect(section(page, 7)).toHaveScreenshot('restoration.png', TOLERANCE);
    // Another target judges the same measurement.
    await page.getByLabel('tightest').fill('-0.2');
    await page.getByLabel('tightest').press('Enter');
    await expect(mesial).toHaveAttribute('data-status', 'as-wanted');
    const [saved] = await Promise.all([
      page.waitForEvent('download'),
      page.getByRole('button', { name: 'Save fit.csv' }).click(),
    ]);
    expect(saved.suggestedFilename()).toBe('11-fit.csv');
    expect(readFileSync(await saved.path(), 'utf8')).toContain('11,mesial,21,as-wanted');
    await expectAccessibleInBoth(page, 'a restoration');
    // A crown of another place is refused in words.
    await chooseFiles(page, /Choose the restoration/, [stl('elsewhere_21.stl', shellOf(12))]);
    await expect(page.getByRole('alert')).toContainText('The restoration');
  });
});

test('separate crowns: table of both ways, cut and maps of the chosen contact', async ({ page }) => {
  await prepareLooks(page);
  await page.goto('/');
  await page.getByRole('list', { name: 'Further jobs' }).getByRole('button', { name: 'Crowns' }).click();
  await expect(page.getByRole('heading', { name: 'Crowns against each other' })).toBeVisible();
  const crowns = [stl('12.stl', shellOf(12)), stl('incisor 11.stl', pressed()), stl('left.stl', shellOf(21))];
  await chooseFiles(page, /Choose crown files/, crowns);
  const measure = page.getByRole('button', { name: 'Measure the contacts' });
  await expect(measure).toBeDisabled();
  await expect(page.getByText('Say which tooth left.stl is.')).toBeVisible();
  await page.getByLabel('Tooth of left.stl').selectOption('21');
  await measure.click();
  const row = page.locator('tbody[data-contact="11-21"]');
  await appears(row);
  await expect(row).toHaveAttribute('data-status', 'overlap');
  // The deepest corner of a facet of 0.3 mm lies a little short of the deepest place.
  await expect(row.locator('.crown-both')).toContainText(/depth 0\.(09|10) \| 0\.(09|10)/);
  await expect(page.locator('.crown-detail .contact-map')).toHaveCount(2);
  await expect(page.locator('.contact-map .cm-band-0')).toHaveCount(2);
  await expect(page.locator('tbody[data-contact="12-11"]')).toHaveAttribute('data-status', 'open');
  await settle(page);
  await handsOff(page);
  await expect(page).toHaveScreenshot('crowns.png', withoutView(page));
  const [saved] = await Promise.all([
    page.waitForEvent('download'),
    page.getByRole('button', { name: 'Save contacts.csv' }).click(),
  ]);
  expect(saved.suggestedFilename()).toBe('crowns-upper-contacts.csv');
  expect(readFileSync(await saved.path(), 'utf8').split('\n')[0]).toContain('overlap_a_mm,overlap_b_mm');
  await expectAccessibleInBoth(page, 'separate crowns');
  // The case is still there, and so are the crowns.
  await page.getByRole('button', { name: 'Case', exact: true }).click();
  await expect(page.getByRole('button', { name: 'Open the demo case' }).first()).toBeVisible();
  await page.getByRole('button', { name: 'Crowns', exact: true }).first().click();
  await expect(row).toBeVisible();
});

test('a desk that was chosen stays while the last case comes back after a reload', async ({ page }) => {
  await openFiles(page, [scan, clicks]);
  await expect(page.locator('.save-state')).toHaveAttribute('data-state', 'saved');
  await page.reload();
  await page.getByRole('button', { name: 'Crowns', exact: true }).first().click();
  await expect(page.locator('.case-name')).toHaveText('prepared.ply');
  await expect(page.getByRole('heading', { name: 'Crowns against each other' })).toBeVisible();
  await page.getByRole('button', { name: 'Case', exact: true }).click();
  await appears(page.locator('.contact-table'));
});

const HEAD = 'id,jaw,tooth_a,tooth_b,status,gap_mm';
const table = (name: string, shift: number, scatter: number) => {
  const rows = [0.12, 0.31, 0.22, 0.41, 0.08, 0.55].map(
    (gap, k) => `m${k},upper,11,21,open,${(gap + shift + scatter * ((k * 7) % 3)).toFixed(4)}`,
  );
  return { name, buffer: Buffer.from([HEAD, ...rows, 'm9,upper,11,21,bridged,'].join('\n')) };
};

test('two tables give figures of agreement with their intervals and plots', async ({ page }) => {
  await prepareLooks(page);
  await page.goto('/');
  await page.getByRole('button', { name: 'Agreement', exact: true }).first().click();
  await chooseFiles(page, /Choose tables/, [table('anna.csv', 0, 0.004)]);
  await expect(page.getByRole('alert')).toContainText('occasion');
  await chooseFiles(page, /Choose tables/, [table('ben.csv', 0.01, -0.006)]);
  await expect(page.locator('.agreement-results .headline')).toContainText('Two measurements of one target');
  await expect(page.getByText('bridged 2 times')).toBeVisible();
  expect(await page.locator('.agreement-part .st').count()).toBeGreaterThan(3);
  await expect(page.getByRole('cell', { name: 'ICC(2,1)' })).toBeVisible();
  await settle(page);
  await handsOff(page);
  await expect(page).toHaveScreenshot('agreement.png', TOLERANCE);
  const [saved] = await Promise.all([
    page.waitForEvent('download'),
    page.getByRole('button', { name: 'Save agreement.json' }).click(),
  ]);
  expect(JSON.parse(readFileSync(await saved.path(), 'utf8')).schema).toBe('archgap-agreement/1');
  await expectAccessibleInBoth(page, 'agreement');
});
