import { readFileSync } from 'node:fs';
import { makeArch } from '../../fixtures/make-arch.ts';
import { FRONT } from '../../fixtures/specs.ts';
import { writePly } from '../../fixtures/write-ply.ts';
import { giveFiles, openSection } from './page-steps.ts';
import { expect, test } from './watched-test.ts';

/** Names come from mail and media that nobody controls. */

const arch = makeArch({ ...FRONT, gridMm: 0.3, toothEdgeMm: 0.34, gumEdgeMm: 0.9 });
const NAME = '<img src=x onerror="window.hit=1">.ply';
const PATIENT = '</title><script>window.hit=1</script>=1+1';

test('a name that is markup stays a name, in the page, in the record and in no address', async ({
  page,
  context,
}) => {
  const addresses: string[] = [];
  context.on('request', (request) => addresses.push(decodeURIComponent(request.url())));
  await page.goto('/');
  await giveFiles(page, [
    { name: NAME, buffer: Buffer.from(writePly(arch)) },
    { name: 'clicks.json', buffer: Buffer.from(JSON.stringify(arch.clicks)) },
  ]);
  await expect(page.locator('tr[data-key="11-21"]')).toBeVisible({ timeout: 60_000 });
  await expect(page.locator('.case-name')).toHaveText(NAME);
  await openSection(page, 'Record');
  const patient = page.getByLabel('Patient', { exact: true });
  await patient.fill(PATIENT);
  await patient.press('Tab');
  const save = async (name: string): Promise<string> => {
    const [file] = await Promise.all([
      page.waitForEvent('download'),
      page.getByRole('button', { name: `Save ${name}` }).click(),
    ]);
    return readFileSync(await file.path(), 'utf8');
  };
  const report = await save('report.html');
  const csv = await save('contacts.csv');
  expect(csv).not.toMatch(/(^|,)[=+@]/m);

  const record = await context.newPage();
  // Without the policy of the page: a record is opened from a disk.
  await record.setContent(report);
  await expect(record.locator('body')).toContainText(NAME);
  await expect(record.locator('body')).toContainText(PATIENT);
  expect(await record.locator('script, img[src=x]').count()).toBe(0);
  for (const one of [page, record])
    expect(await one.evaluate(() => 'hit' in window && (window as { hit?: number }).hit)).toBe(false);
  expect(addresses.filter((address) => /onerror|front|hit=1|11-21/.test(address))).toEqual([]);
});
