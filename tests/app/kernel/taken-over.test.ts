import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { withJaw } from '../../../src/app/kernel/case-inputs.ts';
import { makeBrowser } from './fake-browser.ts';
import { leaveAll, makeDevice, visit } from './fake-device.ts';

beforeEach(() => void vi.useFakeTimers());
afterEach(() => {
  leaveAll();
  vi.useRealTimers();
});
const wait = (ms: number) => vi.advanceTimersByTimeAsync(ms);
const scanFile = () => ({ name: 'upper.stl', bytes: new Uint8Array([1, 2, 3]) });
const otherFile = () => ({ name: 'lower.stl', bytes: new Uint8Array([4, 5, 6]) });

/** A case that was saved on a device that takes its time from then on, and a second tab that asks for it. */
async function twoTabs(saveMs: number) {
  const device = makeDevice();
  const browser = makeBrowser();
  const first = visit(device, browser.newTab());
  await first.controller.openFiles([scanFile()]);
  await wait(1000);
  const { save } = device.storage;
  device.storage.save = async (stored, scans) => {
    await new Promise((rested) => setTimeout(rested, saveMs));
    await save(stored, scans);
  };
  const second = visit(device, browser.newTab());
  await second.persistence.restoreLast();
  expect(second.persistence.elsewhere()?.id).toBe('case-1');
  return { device, browser, first, second };
}

it('another case that was opened while the one asked for was being saved stays open, and is saved', async () => {
  const { device, first, second } = await twoTabs(2000);
  first.controller.change((inputs) => withJaw(inputs, 'upper'));
  const taken = second.persistence.takeOver();
  await wait(500);
  await first.controller.openFiles([otherFile()]);
  first.controller.change((inputs) => withJaw(inputs, 'lower'));
  await wait(20_000);
  await taken;
  expect(second.controller.inputs().jaw).toBe('upper');
  expect([first.controller.open()?.fileName, first.controller.notice()]).toEqual(['lower.stl', null]);
  expect(device.cases.get('case-2')?.arches[0].inputs.jaw).toBe('lower');
});

it('what is done while the case is being saved for the other tab goes along', async () => {
  const { first, second } = await twoTabs(2000);
  first.controller.change((inputs) => withJaw(inputs, 'upper'));
  const taken = second.persistence.takeOver();
  await wait(500);
  // Its scan is not on the device: the journal is of no use.
  first.controller.setOther(otherFile());
  await wait(20_000);
  await taken;
  expect(first.controller.open()).toBeNull();
  expect(second.controller.other()?.fileName).toBe('lower.stl');
});

it('taken by force while a scan is still being saved, the case stays on the screen, and is not said to go on with it', async () => {
  const { device, browser, first, second } = await twoTabs(5000);
  first.controller.setOther(otherFile());
  await wait(500);
  browser.hung.add(0);
  await second.persistence.takeOver();
  expect(second.controller.other()).toBeNull();
  expect(first.controller.other()?.fileName).toBe('lower.stl');
  await wait(20_000);
  expect([first.persistence.state(), first.persistence.isAtRisk()]).toEqual(['elsewhere', true]);
  expect(first.controller.notice()?.sentence).toContain('as it was last saved');
  // The other tab saves the case as it has it, without that scan.
  second.controller.change((inputs) => withJaw(inputs, 'upper'));
  await wait(20_000);
  expect(device.scans.size).toBe(1);
  expect(await first.controller.other()?.bytes.read()).toEqual(new Uint8Array([4, 5, 6]));
});

it('taken by force while a save is being refused, it is not saved from here again', async () => {
  const { device, browser, first, second } = await twoTabs(0);
  const { save } = device.storage;
  device.storage.save = async () => {
    await new Promise((rested) => setTimeout(rested, 5000));
    throw new DOMException('full', 'QuotaExceededError');
  };
  first.controller.setOther(otherFile());
  await wait(500);
  browser.hung.add(0);
  await second.persistence.takeOver();
  await wait(20_000);
  expect(first.persistence.state()).toBe('elsewhere');
  device.storage.save = save;
  await first.persistence.flush();
  await wait(1000);
  expect(device.cases.get('case-1')?.arches).toHaveLength(1);
});

it('a case that is still shown here and that another tab has is not deleted from under that one', async () => {
  const { device, browser, first, second } = await twoTabs(5000);
  first.controller.setOther(otherFile());
  await wait(500);
  browser.hung.add(0);
  await second.persistence.takeOver();
  await wait(20_000);
  await first.persistence.remove('case-1');
  expect(first.controller.notice()?.sentence).toContain('open in another tab');
  expect([device.cases.has('case-1'), first.controller.open()?.id]).toEqual([true, 'case-1']);
  second.controller.closeCase();
  await wait(20_000);
  await first.persistence.remove('case-1');
  expect([device.cases.size, device.scans.size, first.controller.open()]).toEqual([0, 0, null]);
});

it('done again while its undo is being saved, and closed at once, the case is kept as it was last', async () => {
  const device = makeDevice();
  const { controller, persistence } = visit(device);
  await controller.openFiles([scanFile()]);
  controller.change((inputs) => withJaw(inputs, 'upper'));
  await wait(1000);
  const { save } = device.storage;
  device.storage.save = async (stored, scans) => {
    await new Promise((rested) => setTimeout(rested, 500));
    await save(stored, scans);
  };
  controller.undo();
  // The save of the undo begins.
  await wait(300);
  controller.redo();
  controller.closeCase();
  await wait(5000);
  expect(device.cases.get('case-1')?.arches[0].inputs.jaw).toBe('upper');
  expect(persistence.isAtRisk()).toBe(false);
});
