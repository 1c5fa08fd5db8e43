import { Blob as NodeBlob } from 'node:buffer';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { withClick, withJaw } from '../../../src/app/kernel/case-inputs.ts';
import type { CaseLocks } from '../../../src/app/kernel/case-locks.ts';
import { readStoredCase, storedName } from '../../../src/app/kernel/case-storage.ts';
import { seededRandom } from '../../helpers/random.ts';
import { makeBrowser } from './fake-browser.ts';
import { leaveAll, makeDevice, visit } from './fake-device.ts';

beforeEach(() => void vi.useFakeTimers());
afterEach(() => {
  leaveAll();
  vi.useRealTimers();
});
const settle = () => vi.advanceTimersByTimeAsync(1000);
const scanFile = () => ({ name: 'upper.stl', bytes: new Uint8Array([1, 2, 3]) });

/** No room is left on the device, which it tells after a while. @returns makes room again */
function fill(device: ReturnType<typeof makeDevice>, afterMs = 0): () => void {
  const { save } = device.storage;
  device.storage.save = async () => {
    if (afterMs > 0) await new Promise((rested) => setTimeout(rested, afterMs));
    throw new DOMException('full', 'QuotaExceededError');
  };
  return () => {
    device.storage.save = save;
  };
}

describe('persistence', () => {
  it('brings scan, clicks and settings back after a reload', async () => {
    const device = makeDevice();
    const first = visit(device);
    await first.controller.openFiles([scanFile()]);
    first.controller.change((inputs) => withJaw({ ...inputs, limitMm: 0.2 }, 'lower'));
    first.controller.addClick({ tooth: 36, point: [1, 2, 3] });
    await settle();
    expect(first.persistence.state()).toBe('saved');

    const second = visit(device);
    await second.persistence.restoreLast();
    expect(second.controller.open()).toMatchObject({ fileName: 'upper.stl', demo: false });
    expect(await second.controller.open()?.bytes.read()).toEqual(new Uint8Array([1, 2, 3]));
    // What nobody chose is said from now on: the terms it was measured with.
    expect(second.controller.inputs()).toEqual({ ...first.controller.inputs(), scanner: null });
  });

  it('brings undo and redo back after a reload, from the device and from the journal', async () => {
    const device = makeDevice();
    const first = visit(device);
    await first.controller.openFiles([scanFile()]);
    first.controller.change((inputs) => withJaw(inputs, 'upper'));
    first.controller.addClick({ tooth: 16, point: [1, 2, 3] });
    await settle();
    // These are in the journal alone when the page goes away.
    first.controller.addClick({ tooth: 15, point: [2, 2, 3] });
    first.controller.undo();
    first.leave();
    vi.clearAllTimers();
    const { controller, persistence } = visit(device);
    await persistence.restoreLast();
    expect(controller.inputs().clicks).toHaveLength(1);
    controller.redo();
    expect(controller.inputs().clicks).toHaveLength(2);
    for (let k = 0; k < 3; k++) controller.undo();
    expect(controller.inputs()).toMatchObject({ jaw: null, clicks: [] });
    expect(controller.canUndo()).toBe(false);
    await settle();
    expect(readStoredCase(device.cases.get('case-1'))?.arches[0].steps?.redo).toHaveLength(3);
  });

  it('keeps the scans before the open one beside its undo, and one that was taken out until the case is deleted', async () => {
    const device = makeDevice();
    const first = visit(device);
    await first.controller.openFiles([scanFile()]);
    first.controller.change((inputs) => withJaw(inputs, 'upper'));
    first.controller.addClicks([11, 21].map((tooth, k) => ({ tooth, point: [8 * k, 0, 0] as const })));
    await settle();
    await first.controller.followUp.addNext({ name: 'next.stl', bytes: new Uint8Array([9]) });
    first.controller.change((inputs) => ({ ...inputs, scannedOn: '2026-02-01' }));
    await settle();
    expect(device.scans.size).toBe(2);
    first.leave();
    const { controller, persistence } = visit(device);
    await persistence.restoreLast();
    await settle();
    expect(controller.open()?.fileName).toBe('next.stl');
    expect(controller.earlier().map(({ fileName }) => fileName)).toEqual(['upper.stl']);
    expect(await controller.earlier()[0]?.bytes.read()).toEqual(new Uint8Array([1, 2, 3]));
    expect(controller.followUp.comparison()?.changes).toHaveLength(1);
    expect(controller.inputs().scannedOn).toBe('2026-02-01');
    controller.undo();
    expect(controller.inputs().scannedOn).toBeNull();
    await controller.dropNewest();
    await settle();
    expect(controller.open()?.fileName).toBe('upper.stl');
    // Undo leads back to it, so it stays until the case is deleted.
    expect(device.scans.size).toBe(2);
    await persistence.remove(controller.open()?.id ?? '');
    expect(device.scans.size).toBe(0);
  });

  it('a scan that was saved is read from the device, and its absence is told when it is asked for', async () => {
    const device = makeDevice();
    const { controller } = visit(device);
    await controller.openFiles([{ name: 'a.stl', bytes: new Uint8Array([1, 2]) }]);
    await settle();
    const [key] = device.scans.keys();
    device.scans.set(key!, new Uint8Array([8, 9]));
    expect(await controller.open()?.bytes.read()).toEqual(new Uint8Array([8, 9]));
    device.scans.clear();
    expect(await controller.writeCaseFile(null)).toBeNull();
    expect(controller.caseFileJob.state()).toMatchObject({ kind: 'failed', error: { code: 'SCAN_GONE' } });
    expect(controller.open()?.fileName).toBe('a.stl');
  });

  it('a scan that the device no longer keeps, as undo leads to it only from far back, stays in memory', async () => {
    const device = makeDevice();
    const { controller } = visit(device);
    const other = (serial: number) => ({ name: `other-${serial}.stl`, bytes: new Uint8Array([serial, 5]) });
    await controller.openFiles([{ name: 'a.stl', bytes: new Uint8Array([1, 2]) }]);
    for (let serial = 1; serial <= 13; serial++) {
      controller.setOther(other(serial));
      await settle();
    }
    expect([...device.scans.values()].map(([first]) => first)).not.toContain(2);
    while (controller.other()?.fileName !== 'other-2.stl') controller.undo();
    expect(await controller.other()?.bytes.read()).toEqual(other(2).bytes);
  });

  it('an arch taken away is brought back by undo after a reload, and gone with its case', async () => {
    const device = makeDevice();
    const first = visit(device);
    await first.controller.openFiles([scanFile(), { name: 'z.stl', bytes: new Uint8Array([7]) }]);
    await settle();
    first.controller.setOther(null);
    await settle();
    first.leave();
    const second = visit(device);
    await second.persistence.restoreLast();
    expect(second.controller.other()).toBeNull();
    second.controller.undo();
    expect(second.controller.other()?.fileName).toBe('z.stl');
    expect(await second.controller.other()?.bytes.read()).toEqual(new Uint8Array([7]));
    second.controller.redo();
    await settle();
    expect([device.scans.size, second.controller.other()]).toEqual([2, null]);
    await second.persistence.remove('case-1');
    expect(device.scans.size).toBe(0);
  });

  it('undo leads to every scan, however long ago it was put in, and though another case was looked at meanwhile', async () => {
    const device = makeDevice();
    const { controller, persistence } = visit(device);
    await controller.openFiles([{ name: 'looked-at.stl', bytes: new Uint8Array([9]) }]);
    await settle();
    await controller.openFiles([scanFile()]);
    await settle();
    const put = async (k: number) => {
      controller.setOther({ name: `other-${k}.stl`, bytes: new Uint8Array([100 + k]) });
      await settle();
    };
    for (let k = 0; k < 11; k++) await put(k);
    const broken = vi.spyOn(controller, 'restore').mockResolvedValueOnce();
    await persistence.openStored(persistence.cases().find(({ id }) => id === 'case-1')!);
    expect(broken).toHaveBeenCalledOnce();
    // The record keeps only so many steps: the scans of the first ones leave the device.
    for (let k = 11; k < 14; k++) await put(k);
    for (let k = 12; k >= 0; k--) {
      controller.undo();
      expect(controller.other()?.fileName).toBe(`other-${k}.stl`);
    }
    expect(await controller.other()!.bytes.read()).toEqual(new Uint8Array([100]));
  });

  it('knows when leaving the page would lose something', async () => {
    const device = makeDevice();
    const { controller, persistence } = visit(device);
    expect(persistence.isAtRisk()).toBe(false);
    await controller.openFiles([scanFile()]);
    expect(persistence.isAtRisk(), 'a scan that is not saved yet').toBe(true);
    // It is saved at once, not after the rest that other changes wait for.
    await vi.advanceTimersByTimeAsync(1);
    expect(persistence.isAtRisk()).toBe(false);
    controller.change((inputs) => withJaw(inputs, 'upper'));
    expect(persistence.isAtRisk(), 'a change that the journal has').toBe(false);
    device.storage.save = async () => {
      throw new DOMException('full', 'QuotaExceededError');
    };
    await settle();
    expect(persistence.isAtRisk(), 'a full device').toBe(true);
  });

  it('writes at once when the page is left', async () => {
    const device = makeDevice();
    const { controller, persistence } = visit(device);
    await controller.openFiles([scanFile()]);
    await settle();
    controller.change((inputs) => withJaw(inputs, 'upper'));
    await persistence.flush();
    expect(device.cases.get('case-1')?.arches[0].inputs.jaw).toBe('upper');
  });

  it('keeps a closed case on the device without opening it at the next visit', async () => {
    const device = makeDevice();
    const first = visit(device);
    await first.controller.openFiles([scanFile()]);
    await settle();
    first.controller.closeCase();
    await settle();
    const second = visit(device);
    await second.persistence.restoreLast();
    expect(second.controller.open()).toBeNull();
    expect(second.persistence.cases().map(storedName)).toEqual(['upper.stl']);
  });

  it('keeps one demo case, with the bytes it was opened with last', async () => {
    const device = makeDevice();
    const { controller } = visit(device);
    await controller.openDemo();
    await settle();
    const [first] = device.scans.keys();
    await controller.openDemo();
    await settle();
    expect([...device.cases.keys()]).toEqual(['demo']);
    expect(device.scans.size).toBe(1);
    expect(device.scans.has(first!)).toBe(false);
    expect([...device.scans.values()].map((bytes) => [...bytes])).toEqual([[1]]);
  });

  it('deletes scan and clicks, and does not write them again', async () => {
    const device = makeDevice();
    const { controller, persistence } = visit(device);
    await controller.openFiles([scanFile()]);
    await settle();
    controller.change((inputs) => withJaw(inputs, 'upper'));
    await persistence.remove('case-1');
    await settle();
    expect(controller.open()).toBeNull();
    expect(device.cases.size + device.scans.size).toBe(0);
  });

  it('is as at the last change after the page went away at any moment', async () => {
    const random = seededRandom(7);
    const device = makeDevice();
    const first = visit(device);
    await first.controller.openFiles([scanFile()]);
    first.controller.change((inputs) => withJaw(inputs, 'upper'));
    await settle();
    first.leave();
    let clicks = 0;
    for (let round = 0; round < 40; round++) {
      const { controller, persistence, leave } = visit(device);
      await persistence.restoreLast();
      expect(controller.inputs().clicks, `round ${round}`).toHaveLength(clicks);
      const changes = 1 + Math.floor(3 * random());
      for (let k = 0; k < changes; k++) {
        await vi.advanceTimersByTimeAsync(Math.floor(400 * random()));
        controller.change((inputs) => withClick(inputs, { tooth: 'gum', point: [clicks, 0, 0] }));
        clicks += 1;
      }
      // Gone: no timer of this page runs any more, nothing is flushed.
      leave();
      vi.clearAllTimers();
    }
  });

  it('a record cut short by a power cut is not taken for the case', async () => {
    const device = makeDevice();
    const first = visit(device);
    await first.controller.openFiles([scanFile()]);
    await settle();
    first.controller.change((inputs) => withJaw(inputs, 'upper'));
    const key = [...device.marks.keys()].find((name) => name.startsWith('archgap.journal'))!;
    device.marks.set(key, device.marks.get(key)!.slice(0, 100));
    first.leave();
    vi.clearAllTimers();
    const second = visit(device);
    await second.persistence.restoreLast();
    expect(second.controller.open()?.fileName).toBe('upper.stl');
    expect(second.controller.inputs().jaw).toBeNull();
  });

  /** A case that was saved, and a change for which there is no room. */
  async function changedOnFullDevice() {
    const device = makeDevice();
    const { controller, persistence } = visit(device);
    await controller.openFiles([scanFile()]);
    await settle();
    const emptied = fill(device);
    controller.change((inputs) => withJaw(inputs, 'upper'));
    return { device, controller, persistence, emptied };
  }

  it('says when the device is full, keeps the case, and saves it once there is room', async () => {
    const { device, controller, persistence, emptied } = await changedOnFullDevice();
    await settle();
    expect(persistence.state()).toBe('full');
    expect(controller.notice()?.sentence).toContain('no room left');
    expect(controller.inputs().jaw).toBe('upper');
    // A reload meanwhile still has it: the journal is small.
    const other = visit(device);
    await other.persistence.restoreLast();
    expect(other.controller.inputs().jaw).toBe('upper');
    other.leave();
    emptied();
    controller.change((inputs) => ({ ...inputs, limitMm: 0.2 }));
    await settle();
    expect([persistence.state(), controller.notice()]).toEqual(['saved', null]);
    expect(device.cases.get('case-1')?.arches[0].inputs).toMatchObject({ jaw: 'upper', limitMm: 0.2 });
  });

  it('saves the case by itself when room has become free, without a further change', async () => {
    const { device, controller, persistence, emptied } = await changedOnFullDevice();
    await vi.advanceTimersByTimeAsync(20_000);
    expect(persistence.state()).toBe('full');
    emptied();
    await vi.advanceTimersByTimeAsync(60_000);
    expect([persistence.state(), controller.notice()]).toEqual(['saved', null]);
    expect(device.cases.get('case-1')?.arches[0].inputs).toMatchObject({ jaw: 'upper' });
  });

  it('keeps both arches, and which of them is worked on', async () => {
    const device = makeDevice();
    const first = visit(device);
    await first.controller.openFiles([
      { name: 'a-lower.stl', bytes: new Uint8Array([5]) },
      { name: 'b-upper.stl', bytes: new Uint8Array([6]) },
    ]);
    expect(first.controller.open()?.fileName).toBe('b-upper.stl');
    first.controller.change((inputs) => withJaw(inputs, 'upper'));
    await first.controller.showOther();
    first.controller.addClick({ tooth: 36, point: [1, 2, 3] });
    await settle();
    first.leave();
    const second = visit(device);
    await second.persistence.restoreLast();
    expect(second.controller.open()?.fileName).toBe('a-lower.stl');
    expect(second.controller.inputs()).toMatchObject({ jaw: 'lower', clicks: [{ tooth: 36 }] });
    expect(second.controller.other()).toMatchObject({ fileName: 'b-upper.stl' });
    expect(second.controller.other()?.history.present.jaw).toBe('upper');
    expect(device.scans.size).toBe(2);
    await second.persistence.remove('case-1');
    expect(device.scans.size + device.cases.size).toBe(0);
    expect(
      [...device.marks.entries()].filter(([key, text]) => key.includes('journal') && text !== ''),
    ).toEqual([]);
  });

  it('says so when the device keeps nothing', async () => {
    const device = makeDevice();
    device.storage.save = async () => {
      throw new Error('no database');
    };
    const { controller, persistence } = visit(device);
    await controller.openFiles([scanFile()]);
    await settle();
    expect(persistence.state()).toBe('failed');
  });

  it('tells when the scan of a stored case is gone', async () => {
    const device = makeDevice();
    const first = visit(device);
    await first.controller.openFiles([scanFile()]);
    await settle();
    device.scans.clear();
    const second = visit(device);
    await second.persistence.restoreLast();
    expect(second.controller.notice()?.sentence).toContain('upper.stl is no longer on this device');
  });
});

describe('a stored case', () => {
  it('that is damaged or of another version is not read', async () => {
    const device = makeDevice();
    const { controller } = visit(device);
    await controller.openFiles([scanFile()]);
    await settle();
    const stored = device.cases.get('case-1');
    expect(readStoredCase(stored)).toEqual(stored);
    expect(readStoredCase({ ...stored, version: 3 })).toBeNull();
    // Steps that are damaged cost the undo, not the case.
    const [arch] = stored!.arches;
    expect(
      readStoredCase({ ...stored, arches: [{ ...arch, steps: { undo: [{}], redo: 3 } }] })?.arches[0],
    ).toEqual({ ...arch, steps: { undo: [], redo: [] } });
    expect(
      readStoredCase({
        ...stored,
        arches: [{ ...stored?.arches[0], inputs: { ...stored?.arches[0].inputs, missing: [99] } }],
      }),
    ).toBeNull();
    expect(readStoredCase(null)).toBeNull();
  });
});

/** A device on which a save of scans takes its time. */
function makeSlowDevice(ms: number) {
  const device = makeDevice();
  const { save } = device.storage;
  device.storage.save = async (stored, scans) => {
    if (scans.size > 0) await new Promise((rested) => setTimeout(rested, ms));
    await save(stored, scans);
  };
  return device;
}

it('keeps a second arch that the worker read before its file was taken away, and with it the case', async () => {
  const device = makeSlowDevice(5000);
  const { controller, persistence } = visit(device);
  await controller.openFiles([scanFile()]);
  // The first scan is still on its way to the device.
  await vi.advanceTimersByTimeAsync(500);
  const stick = new NodeBlob([new Uint8Array([4, 5, 6])]) as Blob;
  const there = vi.spyOn(stick, 'arrayBuffer');
  controller.setOther({ name: 'lower.stl', bytes: stick });
  await vi.advanceTimersByTimeAsync(500);
  expect(there).toHaveBeenCalledTimes(1);
  there.mockRejectedValue(new DOMException('It was taken away.', 'NotReadableError'));
  await vi.advanceTimersByTimeAsync(20_000);
  controller.change((inputs) => withJaw(inputs, 'upper'));
  await vi.advanceTimersByTimeAsync(20_000);
  expect(persistence.state()).toBe('saved');
  expect(device.cases.get('case-1')?.arches.map(({ fileName }) => fileName)).toEqual([
    'upper.stl',
    'lower.stl',
  ]);
  expect([...device.scans.values()]).toEqual([new Uint8Array([1, 2, 3]), new Uint8Array([4, 5, 6])]);
});

describe('a case left while its scan is still being saved', () => {
  const otherFile = () => ({ name: 'lower.stl', bytes: new Uint8Array([4, 5, 6]) });
  const lies = (device: ReturnType<typeof makeDevice>, id: string) => {
    const inputs = device.cases.get(id)?.arches[0].inputs;
    return inputs && [inputs.jaw, inputs.clicks.length];
  };

  async function clickedEarly(device: ReturnType<typeof makeDevice>, locks?: CaseLocks) {
    const tab = visit(device, locks);
    await tab.controller.openFiles([scanFile()]);
    await vi.advanceTimersByTimeAsync(1000);
    tab.controller.change((inputs) => withJaw(inputs, 'upper'));
    tab.controller.change((inputs) => withClick(inputs, { tooth: 16, point: [1, 2, 3] }));
    await vi.advanceTimersByTimeAsync(1000);
    return tab;
  }

  it.each(['closed', 'another opened', 'page gone after the scan was saved'] as const)(
    'has what was clicked meanwhile: %s',
    async (how) => {
      const device = makeSlowDevice(5000);
      const { controller, leave } = await clickedEarly(device);
      const { save } = device.storage;
      if (how === 'closed') controller.closeCase();
      else if (how === 'another opened') await controller.openFiles([otherFile()]);
      else {
        // What is under way in the browser ends even where the page has gone; nothing else is begun.
        device.storage.save = () => new Promise(() => {});
        leave();
      }
      await vi.advanceTimersByTimeAsync(30_000);
      if (how !== 'page gone after the scan was saved') expect(lies(device, 'case-1')).toEqual(['upper', 1]);
      device.storage.save = save;
      const next = visit(device);
      await next.persistence.restoreLast();
      const stored = next.persistence.cases().find(({ id }) => id === 'case-1');
      await next.persistence.openStored(stored!);
      expect(next.controller.inputs()).toMatchObject({ jaw: 'upper', clicks: [{ tooth: 16 }] });
    },
  );

  it('the page asks before it is left, and the case is not free for another tab until it is saved', async () => {
    const device = makeSlowDevice(5000);
    const browser = makeBrowser();
    const { controller, persistence } = await clickedEarly(device, browser.newTab());
    const other = browser.newTab();
    expect(persistence.isAtRisk()).toBe(true);
    controller.closeCase();
    await vi.advanceTimersByTimeAsync(1000);
    expect([persistence.isAtRisk(), await other.take('case-1')]).toEqual([true, null]);
    await vi.advanceTimersByTimeAsync(30_000);
    expect(persistence.isAtRisk()).toBe(false);
    expect(await other.take('case-1')).not.toBeNull();
  });

  it('without room it stays with the page, which says so, and is saved once there is room', async () => {
    const device = makeDevice();
    const { controller, persistence } = visit(device);
    await controller.openFiles([otherFile()]);
    await settle();
    const emptied = fill(device);
    await controller.openFiles([scanFile()]);
    await settle();
    controller.change((inputs) => withJaw(inputs, 'upper'));
    controller.closeCase();
    await settle();
    const lost = 'upper.stl was closed, but this device could not keep it.';
    expect(controller.lasting()).toEqual([expect.stringContaining(lost)]);
    expect([persistence.isAtRisk(), device.cases.size]).toEqual([true, 1]);
    // Another case that is opened, and what is said of it, takes nothing of that away.
    await persistence.openStored(persistence.cases()[0]!);
    controller.tell('The note for the order is copied.');
    expect([controller.open()?.id, controller.notice()?.kind]).toEqual(['case-1', 'told']);
    expect(controller.lasting()).toEqual([expect.stringContaining(lost)]);
    emptied();
    await persistence.remove('case-1');
    await settle();
    expect(persistence.isAtRisk()).toBe(false);
    // It is no longer so.
    expect(controller.lasting()).toEqual([]);
    expect(persistence.cases().map((stored) => [storedName(stored), stored.arches[0].inputs.jaw])).toEqual([
      ['upper.stl', 'upper'],
    ]);
  });

  /** A scan that was saved on a device that has room for nothing more. */
  async function fullAfterOneScan() {
    const device = makeDevice();
    const browser = makeBrowser();
    const tab = visit(device, browser.newTab());
    await tab.controller.openFiles([scanFile()]);
    await settle();
    fill(device);
    return { device, browser, ...tab };
  }

  /** Another tab asks for the second case. */
  async function openElsewhere(
    device: ReturnType<typeof makeDevice>,
    browser: ReturnType<typeof makeBrowser>,
  ) {
    const tab = visit(device, browser.newTab());
    await tab.persistence.restoreLast();
    await tab.persistence.openStored(tab.persistence.cases().find(({ id }) => id === 'case-2')!);
    return tab;
  }

  /** A case with one click on a device that has no room for another scan; then a second arch and two more clicks. */
  async function withoutRoom(browser = makeBrowser()) {
    const device = makeDevice();
    const tab = visit(device, browser.newTab());
    await tab.controller.openFiles([otherFile()]);
    await settle();
    await tab.controller.openFiles([scanFile()]);
    await settle();
    tab.controller.change((inputs) => withJaw(inputs, 'upper'));
    tab.controller.addClick({ tooth: 11, point: [0, 0, 0] });
    await settle();
    const emptied = fill(device);
    tab.controller.setOther(otherFile());
    tab.controller.addClick({ tooth: 12, point: [1, 0, 0] });
    tab.controller.addClick({ tooth: 13, point: [2, 0, 0] });
    await settle();
    expect([tab.persistence.state(), lies(device, 'case-2')]).toEqual(['full', ['upper', 1]]);
    return { device, browser, emptied, ...tab };
  }

  it('without room, opened again from the list it is as it was left, and is saved once there is room', async () => {
    const { device, emptied, controller, persistence } = await withoutRoom();
    controller.closeCase();
    await settle();
    await persistence.openStored(persistence.cases().find(({ id }) => id === 'case-2')!);
    await settle();
    expect([controller.inputs().clicks.length, controller.other()?.fileName]).toEqual([3, 'lower.stl']);
    expect([persistence.state(), persistence.isAtRisk()]).toEqual(['full', true]);
    controller.addClick({ tooth: 21, point: [5, 0, 0] });
    await settle();
    emptied();
    await persistence.remove('case-1');
    await settle();
    expect([persistence.state(), persistence.isAtRisk()]).toEqual(['saved', false]);
    expect(lies(device, 'case-2')).toEqual(['upper', 4]);
    expect(device.cases.get('case-2')?.arches).toHaveLength(2);
    expect(controller.inputs().clicks).toHaveLength(4);
  });

  it('without room, it does not come over what another tab did to it meanwhile', async () => {
    const { device, browser, emptied, controller, persistence } = await withoutRoom();
    controller.closeCase();
    await settle();
    emptied();
    const second = visit(device, browser.newTab());
    await second.persistence.restoreLast();
    const stored = second.persistence.cases().find(({ id }) => id === 'case-2')!;
    await second.persistence.openStored(stored);
    for (const tooth of [21, 22, 23] as const) second.controller.addClick({ tooth, point: [tooth, 0, 0] });
    await settle();
    second.controller.closeCase();
    await settle();
    await persistence.remove('case-1');
    await settle();
    expect(lies(device, 'case-2')).toEqual(['upper', 4]);
    expect(controller.lasting()).toEqual([expect.stringContaining('could not be saved')]);
    // Opened here it is what the other tab made of it.
    await persistence.openStored(persistence.cases().find(({ id }) => id === 'case-2')!);
    expect(controller.inputs().clicks).toHaveLength(4);
  });

  it('without room, another tab that asks for it gets what was saved; the rest stays on the screen, and is told', async () => {
    const { device, browser, controller, persistence } = await withoutRoom();
    const second = await openElsewhere(device, browser);
    await second.persistence.takeOver();
    await settle();
    expect(second.controller.inputs().clicks).toHaveLength(1);
    expect([controller.inputs().clicks.length, controller.other()?.fileName]).toEqual([3, 'lower.stl']);
    expect([persistence.state(), persistence.isAtRisk()]).toEqual(['elsewhere', true]);
    expect(controller.notice()?.sentence).toContain('as it was last saved');
  });

  it('without room, another tab went on with it and closed it: what is done here afterwards does not come over that', async () => {
    const { device, browser, emptied, controller, persistence } = await withoutRoom();
    const second = await openElsewhere(device, browser);
    await second.persistence.takeOver();
    await settle();
    emptied();
    for (const tooth of [21, 22, 23, 24] as const)
      second.controller.addClick({ tooth, point: [tooth, 0, 0] });
    await settle();
    second.controller.closeCase();
    await settle();
    controller.addClick({ tooth: 14, point: [3, 0, 0] });
    await settle();
    expect([persistence.state(), lies(device, 'case-2')]).toEqual(['elsewhere', ['upper', 5]]);
    // Chosen again it is not simply replaced by what the other tab made of it: first the user says so.
    await persistence.openStored(persistence.cases().find(({ id }) => id === 'case-2')!);
    expect([controller.inputs().clicks.length, controller.notice()?.kind]).toEqual([4, 'failed']);
    controller.closeCase();
    await persistence.openStored(persistence.cases().find(({ id }) => id === 'case-2')!);
    controller.addClick({ tooth: 25, point: [4, 0, 0] });
    await settle();
    expect([persistence.state(), lies(device, 'case-2')]).toEqual(['saved', ['upper', 6]]);
  });

  it('without room for more than the journal, another tab that asks for it gets all of it', async () => {
    const { device, browser, controller, persistence } = await fullAfterOneScan();
    for (const tooth of [11, 12] as const) controller.addClick({ tooth, point: [tooth, 0, 0] });
    await settle();
    expect(persistence.state()).toBe('full');
    const second = visit(device, browser.newTab());
    await second.persistence.restoreLast();
    await second.persistence.takeOver();
    await settle();
    expect(second.controller.inputs().clicks).toHaveLength(2);
    expect([controller.open(), controller.notice()?.kind]).toEqual([null, 'told']);
  });

  it('without room, left here and gone on with in another tab, it comes back as that tab had it', async () => {
    const { device, browser, controller, persistence } = await fullAfterOneScan();
    controller.addClick({ tooth: 11, point: [1, 0, 0] });
    await settle();
    controller.closeCase();
    await settle();
    const second = visit(device, browser.newTab());
    await second.persistence.restoreLast();
    await second.persistence.openStored(second.persistence.cases()[0]!);
    for (const tooth of [21, 22] as const) second.controller.addClick({ tooth, point: [tooth, 0, 0] });
    await settle();
    await persistence.openStored(persistence.cases()[0]!);
    await persistence.takeOver();
    await settle();
    expect(second.controller.open()).toBeNull();
    expect(controller.inputs().clicks.map(({ tooth }) => tooth)).toEqual([11, 21, 22]);
  });

  it('without room, a case that was only looked at is not told of', async () => {
    const device = makeDevice();
    const { controller, persistence } = visit(device);
    await controller.openFiles([scanFile()]);
    controller.addClick({ tooth: 11, point: [1, 0, 0] });
    await settle();
    controller.closeCase();
    await settle();
    fill(device);
    await persistence.openStored(persistence.cases()[0]!);
    await settle();
    controller.closeCase();
    await settle();
    expect([controller.lasting(), persistence.isAtRisk()]).toEqual([[], false]);
  });

  it('without room, left in two tabs: what is saved later does not come over the other without a word', async () => {
    const { device, browser, emptied, controller, persistence } = await withoutRoom();
    controller.closeCase();
    await settle();
    const second = await openElsewhere(device, browser);
    second.controller.addClick({ tooth: 21, point: [5, 0, 0] });
    await settle();
    second.controller.closeCase();
    await settle();
    emptied();
    await persistence.remove('case-1');
    await settle();
    expect([lies(device, 'case-2'), controller.lasting()]).toEqual([['upper', 3], []]);
    await second.persistence.remove('none');
    await settle();
    expect(lies(device, 'case-2')).toEqual(['upper', 3]);
    expect(second.controller.lasting()).toEqual([expect.stringContaining('goes on in another tab')]);
  });

  it('without room, left here and deleted in another tab, it does not come back, and is told', async () => {
    const { device, browser, emptied, controller, persistence } = await withoutRoom();
    controller.closeCase();
    await settle();
    const second = visit(device, browser.newTab());
    await second.persistence.restoreLast();
    await second.persistence.remove('case-2');
    emptied();
    await persistence.remove('case-1');
    await settle();
    expect([device.cases.size, persistence.isAtRisk()]).toEqual([0, false]);
    expect(controller.lasting()).toEqual([expect.stringContaining('was deleted in another tab')]);
  });

  it('without room, it is not lost when opening it again is broken off', async () => {
    const { controller, persistence } = await withoutRoom();
    controller.closeCase();
    await settle();
    const stored = persistence.cases().find(({ id }) => id === 'case-2')!;
    const broken = vi.spyOn(controller, 'restore').mockResolvedValueOnce();
    await persistence.openStored(stored);
    await settle();
    expect(broken).toHaveBeenCalledOnce();
    expect([controller.open(), persistence.isAtRisk(), controller.lasting().length]).toEqual([null, true, 1]);
    await persistence.openStored(stored);
    expect([controller.inputs().clicks.length, controller.other()?.fileName]).toEqual([3, 'lower.stl']);
    // The case is on the screen again, whose header says how it is saved.
    expect(controller.lasting()).toEqual([]);
  });

  it('without room, what another tab has is not deleted from here, nor what this page kept of it', async () => {
    const { device, browser, controller, persistence } = await withoutRoom();
    controller.closeCase();
    await settle();
    await openElsewhere(device, browser);
    await persistence.remove('case-2');
    await settle();
    expect(device.cases.has('case-2')).toBe(true);
    expect([persistence.isAtRisk(), controller.lasting().length]).toEqual([true, 1]);
  });

  it('closed while the state before is still being refused, it is kept as it was last', async () => {
    const device = makeDevice();
    const { controller, persistence } = visit(device);
    await controller.openFiles([otherFile()]);
    await settle();
    await controller.openFiles([scanFile()]);
    await settle();
    const emptied = fill(device, 500);
    controller.addClick({ tooth: 11, point: [0, 0, 0] });
    // The save begins, and is refused after the case was closed.
    await vi.advanceTimersByTimeAsync(300);
    controller.addClick({ tooth: 12, point: [1, 0, 0] });
    await vi.advanceTimersByTimeAsync(50);
    controller.closeCase();
    await settle();
    emptied();
    await persistence.openStored(persistence.cases().find(({ id }) => id === 'case-2')!);
    expect(controller.inputs().clicks).toHaveLength(2);
    controller.closeCase();
    await settle();
    expect([lies(device, 'case-2')?.[1], persistence.isAtRisk(), controller.lasting()]).toEqual([
      2,
      false,
      [],
    ]);
  });

  it('without room, two cases of one name are told of until both are saved', async () => {
    const device = makeDevice();
    const { controller, persistence } = visit(device);
    await controller.openFiles([otherFile()]);
    await settle();
    const emptied = fill(device);
    for (const _ of [1, 2]) {
      await controller.openFiles([scanFile()]);
      await settle();
      controller.closeCase();
      await settle();
    }
    expect(controller.lasting()).toHaveLength(1);
    emptied();
    const { save } = device.storage;
    let saves = 0;
    device.storage.save = async (...given) => {
      if (saves++ > 0) throw new DOMException('full', 'QuotaExceededError');
      await save(...given);
    };
    await persistence.remove('case-1');
    await settle();
    expect([persistence.cases().length, controller.lasting().length, persistence.isAtRisk()]).toEqual([
      1,
      1,
      true,
    ]);
  });

  it('is not written over what a tab did that took it by force', async () => {
    const device = makeDevice();
    const browser = makeBrowser();
    const first = visit(device, browser.newTab());
    await first.controller.openFiles([scanFile()]);
    await settle();
    first.controller.change((inputs) => withJaw(inputs, 'upper'));
    browser.hung.add(0);
    const second = visit(device, browser.newTab());
    await second.persistence.restoreLast();
    await second.persistence.takeOver();
    second.controller.change((inputs) => withJaw(inputs, 'lower'));
    await settle();
    await settle();
    expect(lies(device, 'case-1')).toEqual(['lower', 0]);
  });
});

describe('two tabs on one case', () => {
  it('the second is told; going on there brings every change along, and the first is closed and told', async () => {
    const device = makeDevice();
    const browser = makeBrowser();
    const first = visit(device, browser.newTab());
    await first.controller.openFiles([scanFile()]);
    await settle();
    const second = visit(device, browser.newTab());
    await second.persistence.restoreLast();
    expect(second.controller.open()).toBeNull();
    expect(second.persistence.elsewhere()?.id).toBe('case-1');
    // A change that the first tab has not saved yet when it is asked.
    first.controller.change((inputs) => withJaw(inputs, 'upper'));
    await second.persistence.takeOver();
    expect(second.controller.inputs().jaw).toBe('upper');
    expect(first.controller.open()).toBeNull();
    expect(first.controller.notice()?.sentence).toContain('another tab');
    second.controller.change((inputs) => ({ ...inputs, limitMm: 0.3 }));
    await settle();
    expect(device.cases.get('case-1')?.arches[0].inputs).toMatchObject({ jaw: 'upper', limitMm: 0.3 });
  });

  it('a tab that hangs is closed when it wakes, and never writes over the other', async () => {
    const device = makeDevice();
    const browser = makeBrowser();
    const first = visit(device, browser.newTab());
    await first.controller.openFiles([scanFile()]);
    await settle();
    browser.hung.add(0);
    const second = visit(device, browser.newTab());
    await second.persistence.restoreLast();
    await second.persistence.takeOver();
    second.controller.change((inputs) => withJaw(inputs, 'lower'));
    await settle();
    expect(first.controller.open()).toBeNull();
    expect(device.cases.get('case-1')?.arches[0].inputs.jaw).toBe('lower');
  });

  it('a slow save does not come over what the other tab saved after it took the case by force', async () => {
    const device = makeDevice();
    const browser = makeBrowser();
    const first = visit(device, browser.newTab());
    await first.controller.openFiles([scanFile()]);
    await settle();
    const { save } = device.storage;
    device.storage.save = async (stored, scans) => {
      await new Promise((rested) => setTimeout(rested, 5000));
      await save(stored, scans);
    };
    first.controller.change((inputs) => withJaw(inputs, 'lower'));
    await settle();
    device.storage.save = save;
    browser.hung.add(0);
    const second = visit(device, browser.newTab());
    await second.persistence.restoreLast();
    await second.persistence.takeOver();
    second.controller.change((inputs) => withJaw(inputs, 'upper'));
    await settle();
    const saved = device.cases.get('case-1');
    await vi.advanceTimersByTimeAsync(10_000);
    expect(device.cases.get('case-1')).toEqual(saved);
    expect(saved?.arches[0].inputs.jaw).toBe('upper');
    expect([second.persistence.state(), first.persistence.isAtRisk()]).toEqual(['saved', false]);
  });

  it('a device whose clock was set back keeps on saving', async () => {
    const device = makeDevice();
    const first = visit(device);
    await first.controller.openDemo();
    await settle();
    first.controller.closeCase();
    first.leave();
    vi.setSystemTime(0);
    const second = visit(device);
    await second.persistence.restoreLast();
    await second.controller.openDemo();
    second.controller.change((inputs) => ({ ...inputs, limitMm: 0.3 }));
    await settle();
    expect(second.persistence.state()).toBe('saved');
    expect([...device.cases.values()].map(({ arches }) => arches[0].inputs.limitMm)).toEqual([0.3]);
  });

  it('a case that another tab has is not deleted from here', async () => {
    const device = makeDevice();
    const browser = makeBrowser();
    const first = visit(device, browser.newTab());
    await first.controller.openFiles([scanFile()]);
    await settle();
    const second = visit(device, browser.newTab());
    await second.persistence.restoreLast();
    await second.persistence.remove('case-1');
    expect(device.cases.size).toBe(1);
    expect(second.controller.notice()?.sentence).toContain('open in another tab');
  });
});

it('goes on saving after the browser once failed to give the lock', async () => {
  const device = makeDevice();
  let failing = true;
  const locks: CaseLocks = {
    ...makeBrowser().newTab(),
    take: async () => {
      if (failing) throw new Error('no lock today');
      return { release: () => {} };
    },
  };
  const { controller, persistence } = visit(device, locks);
  await controller.openFiles([scanFile()]);
  await settle();
  expect(persistence.state()).toBe('failed');
  failing = false;
  controller.change((inputs) => withJaw(inputs, 'upper'));
  await settle();
  expect(persistence.state()).toBe('saved');
  expect(device.cases.get('case-1')?.arches[0].inputs.jaw).toBe('upper');
});
