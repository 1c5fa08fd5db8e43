import { createRoot, createSignal } from 'solid-js';
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { retryWhile } from '../../../src/app/kernel/retry-while.ts';

let tries: number[];
let setState: (state: 'saved' | 'full') => void;
let comesRight: boolean;
let dispose: () => void;

beforeEach(() => {
  vi.useFakeTimers({ now: 0 });
  tries = [];
  comesRight = false;
  createRoot((end) => {
    dispose = end;
    const [state, set] = createSignal<'saved' | 'full'>('saved');
    setState = set;
    retryWhile(
      () => state() === 'full',
      async () => {
        tries.push(Date.now());
        if (comesRight) set('saved');
        else throw new Error('still full');
      },
    );
  });
});
afterEach(() => {
  dispose();
  vi.useRealTimers();
});

it('tries more and more seldom while it is needed, and no more once it has come right', async () => {
  await vi.advanceTimersByTimeAsync(100_000);
  expect(tries).toEqual([]);
  setState('full');
  await vi.advanceTimersByTimeAsync(200_000);
  expect(tries.map((at) => (at - 100_000) / 1000)).toEqual([5, 15, 35, 75, 135, 195]);
  comesRight = true;
  await vi.advanceTimersByTimeAsync(200_000);
  expect(tries).toHaveLength(7);
});

it('begins with a short rest again, and ends with what asked for it', async () => {
  setState('full');
  await vi.advanceTimersByTimeAsync(20_000);
  setState('saved');
  await vi.advanceTimersByTimeAsync(80_000);
  expect(tries).toHaveLength(2);
  setState('full');
  await vi.advanceTimersByTimeAsync(5_000);
  expect(tries).toHaveLength(3);
  dispose();
  await vi.advanceTimersByTimeAsync(200_000);
  expect(tries).toHaveLength(3);
});
