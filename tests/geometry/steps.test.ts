import { expect, test } from 'vitest';
import { cancelledError } from '../../src/geometry/archgap-error.ts';
import { partOf, runAtOnce, runInSteps, type Steps } from '../../src/geometry/steps.ts';

function* count(closed: { yes: boolean }): Steps<number> {
  try {
    yield { fraction: 0, stage: 'Counting' };
    yield { fraction: 0.5, stage: 'Counting' };
    return 42;
  } finally {
    closed.yes = true;
  }
}

test('the same work runs at once and in steps', async () => {
  const fractions: number[] = [];
  const control = { checkpoint: async (fraction: number) => void fractions.push(fraction) };
  expect(runAtOnce(count({ yes: false }))).toBe(42);
  expect(await runInSteps(partOf(count({ yes: false }), 0.5, 1), control)).toBe(42);
  expect(fractions).toEqual([0.5, 0.75]);
});

test('a control that cancels stops the work and closes it', async () => {
  const closed = { yes: false };
  const control = {
    checkpoint: async () => {
      throw cancelledError();
    },
  };
  await expect(runInSteps(count(closed), control)).rejects.toMatchObject({ code: 'CANCELLED' });
  expect(closed.yes).toBe(true);
});
