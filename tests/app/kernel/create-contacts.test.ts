import { createRoot, createSignal } from 'solid-js';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { createContacts } from '../../../src/app/kernel/create-contacts.ts';
import type { ClickedTeeth } from '../../../src/app/kernel/create-teeth.ts';
import type { ScannerProfile } from '../../../src/contacts/types.ts';
import type { ClickSet, ToothNumber, ToothRecord } from '../../../src/teeth/types.ts';
import { BENCH } from './bench-scanner.ts';
import { makeFakeClient } from './fake-client.ts';

const CLICKS: ClickSet = {
  jaw: 'upper',
  clicks: [
    { tooth: 11, point: [0, 0, 0] },
    { tooth: 21, point: [8, 0, 0] },
  ],
  missing: [],
  fixed: [],
};

beforeEach(() => void vi.useFakeTimers());
afterEach(() => void vi.useRealTimers());

/** Teeth that were told apart so long after the clicks, and the calls that follow. */
async function afterClicks(took: number) {
  const fake = makeFakeClient();
  const client = {
    ...fake,
    async measure(...asked: Parameters<typeof fake.measure>) {
      const { analysis, settled } = await fake.measure(...asked);
      const teeth = [11, 21].map((tooth) => ({ tooth, fixed: false }) as ToothRecord);
      return { analysis: { ...analysis, teeth }, settled };
    },
  };
  const reply = await client.segment('scan-1', CLICKS, {
    onProgress: () => {},
    signal: new AbortController().signal,
  });
  return createRoot((end) => {
    const [segmented, setSegmented] = createSignal<ClickedTeeth | null>(null);
    const [scanner, setScanner] = createSignal<ScannerProfile | null>(null);
    const [clicks, setClicks] = createSignal<ClickSet | null>(CLICKS);
    const [fixed, setFixed] = createSignal<readonly ToothNumber[]>([]);
    const contacts = createContacts({
      client,
      scanId: () => 'scan-1',
      segmented,
      clicks,
      limitMm: () => 0.1,
      fixed,
      scanner,
      scannerTakenOver: () => false,
    });
    const askedMs = performance.now() - took;
    return {
      contacts,
      end,
      setScanner,
      setClicks,
      setFixed,
      arrive: () => setSegmented({ reply, clicks: CLICKS, askedMs }),
      measured: () => client.calls.filter((call) => call === 'measure').length,
    };
  });
}

describe('createContacts', () => {
  it('waits for further clicks after one that was answered quickly', async () => {
    const { arrive, contacts, measured, end } = await afterClicks(100);
    arrive();
    await vi.advanceTimersByTimeAsync(200);
    expect([measured(), contacts.isDue()]).toEqual([0, true]);
    await vi.advanceTimersByTimeAsync(51);
    expect([measured(), contacts.isDue()]).toEqual([1, false]);
    end();
  });

  it('measures at once where telling the teeth apart took longer than that', async () => {
    const { arrive, contacts, measured, end } = await afterClicks(900);
    arrive();
    expect(contacts.isDue()).toBe(true);
    await vi.advanceTimersByTimeAsync(0);
    expect(measured()).toBe(1);
    end();
  });

  it('waits for more terms of the scanner, however old the clicks are', async () => {
    const { arrive, measured, setScanner, end } = await afterClicks(900);
    arrive();
    await vi.advanceTimersByTimeAsync(0);
    setScanner(BENCH);
    await vi.advanceTimersByTimeAsync(349);
    expect(measured()).toBe(1);
    await vi.advanceTimersByTimeAsync(1);
    expect(measured()).toBe(2);
    end();
  });

  it('does not begin with teeth of clicks that are gone, nor goes on with them', async () => {
    const { arrive, contacts, measured, setClicks, end } = await afterClicks(100);
    arrive();
    await vi.advanceTimersByTimeAsync(200);
    setClicks({ ...CLICKS });
    expect(contacts.isDue()).toBe(false);
    await vi.advanceTimersByTimeAsync(1000);
    expect([measured(), contacts.measured()]).toEqual([0, null]);
    end();
  });

  it('says at once which teeth must not be moved, and measures nothing for it', async () => {
    const { arrive, contacts, measured, setFixed, end } = await afterClicks(900);
    arrive();
    await vi.advanceTimersByTimeAsync(0);
    const held = () =>
      contacts
        .analysis()
        ?.teeth.filter(({ fixed }) => fixed)
        .map(({ tooth }) => tooth);
    expect(held()).toEqual([]);
    setFixed([21]);
    expect([held(), contacts.isDue()]).toEqual([[21], false]);
    setFixed([]);
    expect(held()).toEqual([]);
    await vi.advanceTimersByTimeAsync(1000);
    expect(measured()).toBe(1);
    end();
  });
});
