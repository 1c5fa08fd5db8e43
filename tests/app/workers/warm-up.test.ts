// @vitest-environment node
import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { cancelledError } from '../../../src/geometry/archgap-error.ts';
import { readScan } from '../../../src/scan/read-scan.ts';
import { prepareTeeth } from '../../../src/teeth/prepare-teeth.ts';
import { warmUp } from '../../../workers/warm-up.ts';

const DEMO = new URL('../../../public/demo/demo-arch.ply', import.meta.url);

it('practises in pauses and stops at the one at which real work has come', async () => {
  const base = await prepareTeeth(await readScan(new Uint8Array(readFileSync(DEMO)), { fileName: 'a.ply' }));
  let pauses = 0;
  const stopAt = (last: number) => ({
    checkpoint: async () => {
      pauses++;
      if (pauses === last) throw cancelledError();
    },
  });
  await warmUp(base, stopAt(Number.POSITIVE_INFINITY));
  expect(pauses).toBeGreaterThan(10);
  pauses = 0;
  await expect(warmUp(base, stopAt(5))).rejects.toMatchObject({ code: 'CANCELLED' });
  expect(pauses).toBe(5);
});
