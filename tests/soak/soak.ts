import process from 'node:process';
import { parseArgs } from 'node:util';
import { soakBatch } from './soak-batch.ts';
import { soakPage } from './soak-page.ts';

/*
 * npm run soak -- batch|page [--count WHOLE]     needs npm run build before
 *
 * Long runs that must not grow: 500 scans in one batch; 200 times opened, measured and closed in one page. Memory is
 * printed as it goes on, and the end is held against the level after the first tenth. The exit status is 1 when it
 * grew by more than 10 %.
 */

const RUNS = { batch: { soak: soakBatch, count: 500 }, page: { soak: soakPage, count: 200 } };

const { values, positionals } = parseArgs({
  options: { count: { type: 'string' } },
  allowPositionals: true,
});
const [name = ''] = positionals;
const run = name in RUNS ? RUNS[name as keyof typeof RUNS] : null;
const count = Number(values.count ?? run?.count);
if (!run || !Number.isInteger(count) || count < 20) {
  console.error('npm run soak -- batch|page [--count WHOLE, at least 20]');
  process.exit(2);
}
process.exit((await run.soak(count)) ? 0 : 1);
