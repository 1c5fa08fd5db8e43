import { createRoot } from 'solid-js';
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { createCase } from '../../../src/app/kernel/create-case.ts';
import { createClickHelp } from '../../../src/app/kernel/create-click-help.ts';
import { createPreferences } from '../../../src/app/kernel/preferences.ts';
import { createWorksheet } from '../../../src/app/kernel/worksheet.ts';
import type { ToothNumber } from '../../../src/teeth/types.ts';
import { makeFakeClient } from './fake-client.ts';

beforeEach(() => void vi.useFakeTimers({ now: new Date('2026-01-05T10:00:00Z') }));
afterEach(() => void vi.useRealTimers());

/** A scan whose clicks come all at once, and what is asked of the worker, in its order. */
async function clickAll(teeth: readonly ToothNumber[]) {
  const client = makeFakeClient();
  const scene = createRoot((end) => {
    const preferences = createPreferences({ get: () => null, set: () => {} });
    const controller = createCase({
      client,
      fetchDemo: async () => {
        throw new Error('No demo is asked for.');
      },
      newId: () => 'case-1',
      numbering: () => 'iso',
      version: '0.0.0',
      now: () => new Date(),
    });
    const worksheet = createWorksheet(controller);
    return { end, controller, help: createClickHelp({ client, controller, worksheet, preferences }) };
  });
  const { controller } = scene;
  await controller.openFiles([{ name: 'upper.stl', bytes: new Uint8Array([1, 2, 3]) }]);
  controller.change((inputs) => ({ ...inputs, jaw: 'upper' }));
  client.calls.length = 0;
  controller.addClicks(teeth.map((tooth, i) => ({ tooth, point: [8 * i, 0, 0] })));
  await vi.advanceTimersByTimeAsync(2000);
  return { ...scene, calls: client.calls };
}

it('looks for the other places before the contacts while few teeth are clicked', async () => {
  const { calls, help, end } = await clickAll([13, 12, 11]);
  expect(calls).toEqual(['segment', 'proposeClicks', 'measure', 'plan', 'completePlan']);
  expect(help.proposals().map(({ tooth }) => tooth)).toEqual([21, 22, 23]);
  end();
});

it('looks for them once, after the plan, where most of the arch is clicked', async () => {
  const { calls, help, controller, end } = await clickAll([17, 16, 15, 14, 13, 12, 11, 21]);
  expect(calls).toEqual(['segment', 'measure', 'plan', 'completePlan', 'proposeClicks']);
  expect(help.proposals().map(({ tooth }) => tooth)).toEqual([22, 23]);
  controller.change((inputs) => ({ ...inputs, limitMm: 0.4 }), 'limit');
  await vi.advanceTimersByTimeAsync(2000);
  expect(calls.slice(5)).toEqual(['plan', 'completePlan']);
  end();
});
