// @vitest-environment node
import { expect, it, vi } from 'vitest';
import { practise } from '../../../workers/practise.ts';

const seen = () => {
  const told: string[] = [];
  const work = async (control: { checkpoint(share: number, stage: string): Promise<void> }) => {
    told.push('begun');
    try {
      for (;;) {
        await control.checkpoint(0, 'practising');
        await new Promise((resolve) => setTimeout(resolve));
      }
    } catch (error) {
      told.push((error as { code: string }).code);
      throw error;
    }
  };
  return { told, work };
};

it('begins after its rest and is given up when it is stopped', async () => {
  const { told, work } = seen();
  const practice = practise(work, 0);
  expect(told).toEqual([]);
  await vi.waitFor(() => expect(told).toEqual(['begun']));
  practice.stop();
  await vi.waitFor(() => expect(told).toEqual(['begun', 'CANCELLED']));
  // Once more when it is over already: nothing.
  practice.stop();
});

it('does not begin when it is stopped in its rest', async () => {
  const { told, work } = seen();
  practise(work, 5).stop();
  await new Promise((resolve) => setTimeout(resolve, 20));
  expect(told).toEqual([]);
});

it('keeps a failure to itself: real work will tell it', async () => {
  let failed = false;
  practise(async () => {
    failed = true;
    throw new Error('no such surface');
  }, 0);
  await vi.waitFor(() => expect(failed).toBe(true));
  // A rejection that nobody takes would end the run of the tests.
  await new Promise((resolve) => setTimeout(resolve, 5));
});
