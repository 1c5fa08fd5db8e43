import { readFileSync } from 'node:fs';
import { frontFiles, openFiles, openSection } from './page-steps.ts';
import { expect, test } from './watched-test.ts';

/** Names come from mail and media that nobody controls. */

const NAME = '<img src=x onerror="window.hit=1">.ply';
const PATIENT = '</title><script>window.hit=1</script>=1+1';

test('a name that is markup stays a name, in the page, in the record and in no address', async ({
  page,
  context,
}) => {
  const addresses: string[] = [];
  context.on('request', (request) => addresses.push(decodeURIComponent(request.url())));
  await openFiles(page, frontFiles(NAME));
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
