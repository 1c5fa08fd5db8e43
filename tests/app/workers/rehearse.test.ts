// @vitest-environment node
import { expect, it } from 'vitest';
import { cancelledError } from '../../../src/geometry/archgap-error.ts';
import { rehearse } from '../../../workers/rehearse.ts';

it('goes through the whole job in pauses and stops at the one at which real work has come', async () => {
  const stages: string[] = [];
  await rehearse({ checkpoint: async (_, stage) => void stages.push(stage) });
  expect(stages[0]).toBe('Reading triangles');
  expect(stages.at(-1)).toBe('trying other spaces and resistances');
  expect(stages.length).toBeGreaterThan(20);

  let pauses = 0;
  const stopAtFifth = async () => {
    pauses++;
    if (pauses === 5) throw cancelledError();
  };
  await expect(rehearse({ checkpoint: stopAtFifth })).rejects.toMatchObject({ code: 'CANCELLED' });
  expect(pauses).toBe(5);
});
