import process from 'node:process';
import { parseArgs } from 'node:util';
import { soakBatch } from './soak-batch.ts';

/*
 * npm run soak -- [--count 500]     needs npm run build before
 *
 * A long batch that must not grow: memory is printed as it goes on, and the last fifth is held against the second.
 * The exit status is 1 when it grew by more than 10 %.
 */

const { values } = parseArgs({ options: { count: { type: 'string', default: '500' } } });
const count = Number(values.count);
if (!Number.isInteger(count) || count < 20) {
  console.error('npm run soak -- [--count WHOLE, at least 20]');
  process.exit(2);
}
process.exit((await soakBatch(count)) ? 0 : 1);
