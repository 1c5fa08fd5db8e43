import { createRoot, createSignal } from 'solid-js';
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { withScanner } from '../../../src/app/kernel/case-inputs.ts';
import { createCase } from '../../../src/app/kernel/create-case.ts';
import { createPreferences } from '../../../src/app/kernel/preferences.ts';
import type { MeasureSettings, ScannerProfile } from '../../../src/contacts/types.ts';
import { BENCH, CLICKS } from './bench-scanner.ts';
import { makeFakeClient } from './fake-client.ts';

beforeEach(() => void vi.useFakeTimers({ now: new Date('2026-01-05T10:00:00Z') }));
afterEach(() => void vi.useRealTimers());

it('begins with the terms of the device and keeps them, and measures again when others are chosen', async () => {
  const asked: MeasureSettings[] = [];
  const fake = makeFakeClient();
  const client = {
    ...fake,
    measure: (...given: Parameters<typeof fake.measure>) => {
      asked.push(given[2]);
      return fake.measure(...given);
    },
  };
  const [scanner, setScanner] = createSignal<ScannerProfile | null>(null);
  const { controller, end } = createRoot((dispose) => ({
    end: dispose,
    controller: createCase({
      client,
      fetchDemo: async () => ({ scan: { name: 'a.ply', bytes: new Uint8Array([1]) }, clicks: CLICKS }),
      newId: () => 'case-1',
      numbering: () => 'iso',
      scanner,
      version: '0.0.0',
      now: () => new Date(),
    }),
  }));
  await controller.openDemo();
  await vi.advanceTimersByTimeAsync(1000);
  expect(asked).toEqual([{ limitMm: 0.1 }]);
  // Chosen in the box of the page: for the device and for this case.
  setScanner(BENCH);
  expect(controller.results.analysisIsOld()).toBe(false);
  controller.change((inputs) => withScanner(inputs, BENCH), 'scanner');
  expect(controller.results.analysisIsOld()).toBe(true);
  await vi.advanceTimersByTimeAsync(1000);
  expect(asked[1]).toEqual({ limitMm: 0.1, scanner: BENCH });
  expect(controller.results.analysisIsOld()).toBe(false);
  // Taking back the first choice brings back what the case began with, whatever the device remembers now.
  controller.undo();
  expect(controller.scanner()).toBeNull();
  await vi.advanceTimersByTimeAsync(1000);
  expect(asked[2]).toEqual({ limitMm: 0.1 });
  await controller.openDemo();
  expect(controller.scanner()).toEqual(BENCH);
  end();
});

it('keeps the terms on the device, and takes what cannot be read for none', () => {
  const kept = new Map<string, string>();
  const store = {
    get: (key: string) => kept.get(key) ?? null,
    set: (key: string, text: string) => void kept.set(key, text),
  };
  const begin = () => createRoot((dispose) => ({ dispose, preferences: createPreferences(store) }));
  const first = begin();
  expect(first.preferences.scanner()).toBeNull();
  first.preferences.setScanner(BENCH);
  first.dispose();
  const second = begin();
  expect(second.preferences.scanner()).toEqual({ ...BENCH, noiseAllowanceMm: 0.03 });
  second.dispose();
  kept.set('archgap.scanner', '{"schema":"archgap-scanner/9"}');
  const third = begin();
  expect(third.preferences.scanner()).toBeNull();
  third.dispose();
});

it('keeps the terms with the case: it measures the same on a device with others', async () => {
  const begin = (device: ScannerProfile | null) => {
    const asked: MeasureSettings[] = [];
    const fake = makeFakeClient();
    const client = {
      ...fake,
      measure: (...given: Parameters<typeof fake.measure>) => {
        asked.push(given[2]);
        return fake.measure(...given);
      },
    };
    return createRoot((dispose) => ({
      end: dispose,
      asked,
      controller: createCase({
        client,
        fetchDemo: async () => ({ scan: { name: 'a.ply', bytes: new Uint8Array([1]) }, clicks: CLICKS }),
        newId: () => 'case-1',
        numbering: () => 'iso',
        scanner: () => device,
        version: '0.0.0',
        now: () => new Date(),
      }),
    }));
  };
  const first = begin(BENCH);
  await first.controller.openDemo();
  const kept = first.controller.kept();
  expect(kept?.content.arches[0].inputs.scanner).toEqual(BENCH);
  first.end();

  const second = begin(null);
  await second.controller.restore('case-1', kept!);
  await vi.advanceTimersByTimeAsync(1000);
  expect(second.asked).toEqual([{ limitMm: 0.1, scanner: BENCH }]);
  second.controller.change((inputs) => ({ ...inputs, scanner: null }), 'scanner');
  await vi.advanceTimersByTimeAsync(1000);
  expect(second.asked[1]).toEqual({ limitMm: 0.1 });
  second.controller.undo();
  await vi.advanceTimersByTimeAsync(1000);
  expect(second.asked[2]).toEqual({ limitMm: 0.1, scanner: BENCH });
  second.end();
});
