import { createRoot } from 'solid-js';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { withJaw } from '../../../src/app/kernel/case-inputs.ts';
import { type CaseStorage, readStoredCase, type StoredCase } from '../../../src/app/kernel/case-storage.ts';
import { type CaseController, createCase } from '../../../src/app/kernel/create-case.ts';
import { createPersistence, type Persistence } from '../../../src/app/kernel/create-persistence.ts';
import type { TextStore } from '../../../src/app/kernel/preferences.ts';
import { makeFakeClient } from './fake-client.ts';

/** A device that outlives the page: what is stored has been cloned, as IndexedDB does. */
function makeDevice() {
  const cases = new Map<string, StoredCase>();
  const scans = new Map<string, Uint8Array>();
  const marks = new Map<string, string>();
  const storage: CaseStorage = {
    list: async () => [...cases.values()].map(readStoredCase).filter((stored) => stored !== null),
    scanOf: async (id) => scans.get(id) ?? null,
    putScan: async (id, bytes) => void scans.set(id, bytes),
    put: async (stored) => void cases.set(stored.id, structuredClone(stored)),
    remove: async (id) => {
      cases.delete(id);
      scans.delete(id);
    },
  };
  const text: TextStore = {
    get: (key) => marks.get(key) ?? null,
    set: (key, value) => void marks.set(key, value),
  };
  return { cases, scans, storage, text };
}

const DEMO_CLICKS = JSON.stringify({ jaw: 'upper', clicks: [], missing: [], fixed: [] });

type Device = ReturnType<typeof makeDevice>;
const ends: (() => void)[] = [];

/** Opens the page anew on a device. */
function visit(device: Device): { controller: CaseController; persistence: Persistence } {
  return createRoot((end) => {
    ends.push(end);
    const now = () => new Date();
    const controller = createCase({
      client: makeFakeClient(),
      fetchDemo: async () => ({
        scan: { name: 'demo-arch.ply', bytes: new Uint8Array([1]) },
        clicks: DEMO_CLICKS,
      }),
      newId: () => `case-${device.cases.size + 1}`,
      numbering: () => 'iso',
      version: '0.0.0',
      now,
    });
    return {
      controller,
      persistence: createPersistence({ storage: device.storage, marks: device.text, controller, now }),
    };
  });
}

beforeEach(() => void vi.useFakeTimers());
afterEach(() => {
  for (const end of ends.splice(0)) end();
  vi.useRealTimers();
});
const settle = () => vi.advanceTimersByTimeAsync(1000);
const SCAN = { name: 'upper.stl', bytes: new Uint8Array([1, 2, 3]) };

describe('persistence', () => {
  it('brings scan, clicks and settings back after a reload', async () => {
    const device = makeDevice();
    const first = visit(device);
    await first.controller.openFiles([SCAN]);
    first.controller.change((inputs) => withJaw({ ...inputs, limitMm: 0.2 }, 'lower'));
    first.controller.addClick({ tooth: 36, point: [1, 2, 3] });
    await settle();
    expect(first.persistence.state()).toBe('saved');

    const second = visit(device);
    await second.persistence.restoreLast();
    expect(second.controller.open()).toMatchObject({ fileName: 'upper.stl', demo: false });
    expect([...(second.controller.open()?.bytes ?? [])]).toEqual([1, 2, 3]);
    expect(second.controller.inputs()).toEqual(first.controller.inputs());
  });

  it('writes at once when the page is left', async () => {
    const device = makeDevice();
    const { controller, persistence } = visit(device);
    await controller.openFiles([SCAN]);
    await settle();
    controller.change((inputs) => withJaw(inputs, 'upper'));
    await persistence.flush();
    expect(device.cases.get('case-1')?.inputs.jaw).toBe('upper');
  });

  it('keeps a closed case on the device without opening it at the next visit', async () => {
    const device = makeDevice();
    const first = visit(device);
    await first.controller.openFiles([SCAN]);
    await settle();
    first.controller.closeCase();
    await settle();
    const second = visit(device);
    await second.persistence.restoreLast();
    expect(second.controller.open()).toBeNull();
    expect(second.persistence.cases().map((stored) => stored.fileName)).toEqual(['upper.stl']);
  });

  it('keeps one demo case, with the bytes it was opened with last', async () => {
    const device = makeDevice();
    const { controller } = visit(device);
    await controller.openDemo();
    await settle();
    expect([...device.scans.keys()]).toEqual(['demo']);
    device.scans.set('demo', new Uint8Array([9]));
    await controller.openDemo();
    await settle();
    expect([...device.cases.keys()]).toEqual(['demo']);
    expect([...(device.scans.get('demo') ?? [])]).toEqual([1]);
  });

  it('deletes scan and clicks, and does not write them again', async () => {
    const device = makeDevice();
    const { controller, persistence } = visit(device);
    await controller.openFiles([SCAN]);
    await settle();
    controller.change((inputs) => withJaw(inputs, 'upper'));
    await persistence.remove('case-1');
    await settle();
    expect(controller.open()).toBeNull();
    expect(device.cases.size + device.scans.size).toBe(0);
  });

  it('says so when the device keeps nothing', async () => {
    const device = makeDevice();
    device.storage.put = async () => {
      throw new Error('quota');
    };
    const { controller, persistence } = visit(device);
    await controller.openFiles([SCAN]);
    await settle();
    expect(persistence.state()).toBe('failed');
  });

  it('tells when the scan of a stored case is gone', async () => {
    const device = makeDevice();
    const first = visit(device);
    await first.controller.openFiles([SCAN]);
    await settle();
    device.scans.clear();
    const second = visit(device);
    await second.persistence.restoreLast();
    expect(second.controller.notice()).toContain('upper.stl is no longer on this device');
  });
});

describe('a stored case', () => {
  it('that is damaged or of another version is not read', async () => {
    const device = makeDevice();
    const { controller } = visit(device);
    await controller.openFiles([SCAN]);
    await settle();
    const stored = device.cases.get('case-1');
    expect(readStoredCase(stored)).toEqual(stored);
    expect(readStoredCase({ ...stored, version: 2 })).toBeNull();
    expect(readStoredCase({ ...stored, inputs: { ...stored?.inputs, missing: [99] } })).toBeNull();
    expect(readStoredCase(null)).toBeNull();
  });
});
