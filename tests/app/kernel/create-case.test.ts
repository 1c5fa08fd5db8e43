import { createRoot } from 'solid-js';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { clickedTeeth, withFixed, withToothRenumbered } from '../../../src/app/kernel/case-inputs.ts';
import { type CaseController, createCase } from '../../../src/app/kernel/create-case.ts';
import type { CaseFile } from '../../../src/app/kernel/given-file.ts';
import { contentRead } from '../../../src/app/kernel/scan-bytes.ts';
import { ArchgapError, inputError } from '../../../src/geometry/archgap-error.ts';
import type { Vec3 } from '../../../src/geometry/types.ts';
import { type FakeClient, makeFakeClient } from './fake-client.ts';

const scanFile = (): CaseFile => ({ name: 'upper.stl', bytes: new Uint8Array([1, 2, 3]) });
const at = (x: number): Vec3 => [x, 0, 0];
const DEMO_CLICKS = JSON.stringify({
  jaw: 'upper',
  clicks: [
    { tooth: 12, point: at(0) },
    { tooth: 11, point: at(8) },
    { tooth: 21, point: at(16) },
  ],
  missing: [],
  fixed: [],
});

let client: FakeClient;
let controller: CaseController;
let dispose: () => void;

beforeEach(() => {
  vi.useFakeTimers({ now: new Date('2026-01-05T10:00:00Z') });
  client = makeFakeClient();
  createRoot((end) => {
    dispose = end;
    let ids = 0;
    controller = createCase({
      client,
      fetchDemo: async () => ({ scan: { ...scanFile(), name: 'demo-arch.ply' }, clicks: DEMO_CLICKS }),
      newId: () => `case-${++ids}`,
      numbering: () => 'iso',
      version: '0.0.0',
      now: () => new Date(),
    });
  });
});
afterEach(() => {
  dispose();
  vi.useRealTimers();
});

/** Lets everything run that follows by itself. */
const settle = () => vi.advanceTimersByTimeAsync(1000);

async function openWithThreeTeeth(): Promise<void> {
  await controller.openDemo();
  await settle();
}

describe('the case', () => {
  it('waits for a second tooth without having failed, and forgets the contacts when one goes', async () => {
    await controller.openFiles([scanFile()]);
    controller.change((inputs) => ({ ...inputs, jaw: 'upper' }));
    controller.addClick({ tooth: 11, point: at(0) });
    await settle();
    const { results } = controller;
    expect(results.segmentation()).not.toBeNull();
    expect(client.calls).not.toContain('measure');
    expect([results.measureIsStopped(), results.measureIsDue()]).toEqual([false, false]);
    controller.addClick({ tooth: 21, point: at(8) });
    await settle();
    expect(results.analysis()).not.toBeNull();
    controller.undo();
    await settle();
    expect([results.analysis(), results.jobs.measure.state().kind]).toEqual([null, 'idle']);
    expect(results.measureIsStopped()).toBe(false);
  });

  it('runs the whole job of the demo by itself: teeth, contacts, plan', async () => {
    await openWithThreeTeeth();
    expect(controller.open()).toMatchObject({ fileName: 'demo-arch.ply', demo: true });
    expect(clickedTeeth(controller.inputs())).toEqual([12, 11, 21]);
    expect(controller.results.segmentation()?.labels).toHaveLength(3);
    expect(controller.results.analysis()?.contacts.map((contact) => contact.status)).toEqual([
      'open',
      'open',
    ]);
    expect(controller.results.plan()?.answer).toBe('none-needed');
    expect(client.calls).toEqual(['openScan', 'readClicks', 'segment', 'measure', 'plan', 'completePlan']);
    expect(controller.results.planIsComplete()).toBe(true);
  });

  it('stays as it was when a file cannot be read, with the sentence', async () => {
    await openWithThreeTeeth();
    const before = { open: controller.open(), inputs: controller.inputs() };
    expect(await controller.openFiles([{ name: 'bad.stl', bytes: new Uint8Array() }])).toBe(false);
    await settle();
    expect(controller.openJob.state()).toMatchObject({
      kind: 'failed',
      error: { message: 'bad.stl is empty.' },
    });
    expect(controller.open()).toBe(before.open);
    expect(controller.inputs()).toBe(before.inputs);
    expect(controller.results.analysis()).not.toBeNull();
  });

  it('opens a scan with its click file in one go, and refuses clicks without a scan', async () => {
    const clicks = { name: 'clicks.json', bytes: new TextEncoder().encode(DEMO_CLICKS) };
    expect(await controller.openFiles([clicks])).toBe(false);
    expect(controller.openJob.state()).toMatchObject({ kind: 'failed', error: { code: 'NO_SCAN' } });
    expect(await controller.openFiles([clicks, scanFile()])).toBe(true);
    await settle();
    expect(controller.results.analysis()?.contacts).toHaveLength(2);
  });

  it('shows no contacts and no plan of earlier clicks when the new ones are refused, and keeps the case', async () => {
    await openWithThreeTeeth();
    const sentence = '11 and 21 seem exchanged.';
    client.failNext('measure', inputError('NUMBERS_OUT_OF_ORDER', sentence));
    controller.change((inputs) => withToothRenumbered(inputs, 11, 21), 'renumber');
    await settle();
    expect(controller.results.jobs.measure.state()).toMatchObject({
      kind: 'failed',
      error: { message: sentence },
    });
    expect(controller.results.analysis()).toBeNull();
    expect(controller.results.plan()).toBeNull();
    expect(clickedTeeth(controller.inputs())).toHaveLength(3);
    expect(controller.results.segmentation()).not.toBeNull();
    controller.undo();
    await settle();
    expect(controller.results.analysis()?.contacts).toHaveLength(2);
    expect(controller.results.plan()).not.toBeNull();
  });

  it('decides again for another limit without measuring again', async () => {
    await openWithThreeTeeth();
    client.calls.length = 0;
    controller.change((inputs) => ({ ...inputs, limitMm: 0.4 }), 'limit');
    expect(controller.results.analysis()?.contacts.map((contact) => contact.status)).toEqual([
      'closed',
      'closed',
    ]);
    expect(controller.results.planIsOld()).toBe(true);
    await settle();
    expect(client.calls).toEqual(['plan', 'completePlan']);
    expect(controller.results.planIsOld()).toBe(false);
    expect(controller.results.plan()?.settings.limitMm).toBe(0.4);
    controller.undo();
    expect(controller.results.analysis()?.contacts[0]?.status).toBe('open');
  });

  it('plans again for a tooth that must not be moved, and measures nothing again', async () => {
    await openWithThreeTeeth();
    client.calls.length = 0;
    controller.change((inputs) => withFixed(inputs, 11, true));
    expect(controller.results.planIsOld()).toBe(true);
    await settle();
    expect(client.calls).toEqual(['plan', 'completePlan']);
    expect(controller.results.plan()?.settings.fixed).toEqual([11]);
  });

  it('an opposing scan completes the plan anew; a file that cannot be read changes nothing', async () => {
    await openWithThreeTeeth();
    client.calls.length = 0;
    controller.setOther({ name: 'lower.stl', bytes: new Uint8Array([1]) });
    await settle();
    expect(controller.results.opposing()?.fileName).toBe('lower.stl');
    expect(client.calls).toEqual(['openOpposing', 'completePlan']);
    controller.setOther({ name: 'bad.stl', bytes: new Uint8Array() });
    await settle();
    expect(controller.notice()?.sentence).toBe('bad.stl is empty.');
    expect(controller.other()?.fileName).toBe('lower.stl');
    controller.redo();
    expect(controller.other()?.fileName, 'what was refused is not offered again').toBe('lower.stl');
    await settle();
    expect(controller.results.opposing()?.fileName).toBe('lower.stl');
    client.calls.length = 0;
    controller.setOther(null);
    await settle();
    expect(controller.results.opposing()).toBeNull();
    expect(client.calls).toEqual(['dropOpposing', 'completePlan']);
  });

  it('an opposing scan that is taken away before it was read is not kept', async () => {
    await openWithThreeTeeth();
    client.calls.length = 0;
    controller.setOther({ name: 'lower.stl', bytes: new Uint8Array([1]) });
    controller.setOther(null);
    await settle();
    expect(client.calls).toContain('dropOpposing');
    expect(controller.results.opposing()).toBeNull();
  });

  it('another case begins without the other arch of the former one, and undo does not bring it', async () => {
    await openWithThreeTeeth();
    controller.setOther({ name: 'lower.stl', bytes: new Uint8Array([1]) });
    controller.setOther(null);
    await controller.openFiles([{ name: 'another.stl', bytes: new Uint8Array([9]) }]);
    await settle();
    expect(controller.other()).toBeNull();
    expect(controller.canUndo()).toBe(false);
    controller.undo();
    controller.redo();
    expect(controller.other()).toBeNull();
  });

  it('offers no second try where the clicks are refused as they are, and goes on by itself with others', async () => {
    await openWithThreeTeeth();
    const { results } = controller;
    client.failNext('measure', inputError('NUMBERS_MIRRORED', 'The numbers run the wrong way round.'));
    controller.addClick({ tooth: 22, point: at(24) });
    await settle();
    expect([results.measureIsStopped(), results.measureIsRefused()]).toEqual([true, true]);
    controller.addClick({ tooth: 23, point: at(32) });
    await settle();
    expect([results.measureIsStopped(), results.measureIsRefused()]).toEqual([false, false]);
    expect(results.analysis()?.contacts).toHaveLength(4);
  });

  it('says that the contacts are of earlier clicks when the teeth could not be told apart, and tries again', async () => {
    await openWithThreeTeeth();
    client.failNext('segment', new ArchgapError('internal', 'INTERNAL', 'Something went wrong.'));
    controller.addClick({ tooth: 22, point: at(24) });
    await settle();
    expect(controller.results.analysisIsOld()).toBe(true);
    expect(controller.results.measureIsStopped()).toBe(true);
    expect(controller.results.measureIsRefused()).toBe(false);
    controller.results.measureAgain();
    await settle();
    expect(controller.results.measureIsStopped()).toBe(false);
    expect(controller.results.analysis()?.contacts).toHaveLength(3);
  });

  it('undo and redo take the other arch along, in their place among the changes', async () => {
    await openWithThreeTeeth();
    const { setOther, undo, redo, change, inputs, other } = controller;
    const limits = () => [inputs().limitMm, other()?.fileName ?? null];
    const limit = (limitMm: number) => change((now) => ({ ...now, limitMm }), 'limit');
    limit(0.2);
    setOther({ name: 'lower.stl', bytes: new Uint8Array([1]) });
    // The same slider goes on: still a step of its own.
    limit(0.3);
    setOther(null);
    expect(limits()).toEqual([0.3, null]);
    undo();
    expect(limits()).toEqual([0.3, 'lower.stl']);
    undo();
    expect(limits()).toEqual([0.2, 'lower.stl']);
    undo();
    expect(limits()).toEqual([0.2, null]);
    undo();
    expect(limits()).toEqual([0.1, null]);
    for (let k = 0; k < 4; k++) redo();
    expect(limits()).toEqual([0.3, null]);
    expect(controller.canRedo()).toBe(false);
    undo();
    limit(0.4);
    expect(limits()).toEqual([0.4, 'lower.stl']);
    undo();
    redo();
    redo();
    expect(limits(), 'a new change leaves nothing to redo').toEqual([0.4, 'lower.stl']);
    // Work on the other arch and back: its steps are still those of this one.
    undo();
    undo();
    await controller.showOther();
    expect(controller.canUndo()).toBe(false);
    await controller.showOther();
    undo();
    expect(limits()).toEqual([0.2, null]);
    await controller.openDemo();
    expect([controller.canUndo(), controller.canRedo()]).toEqual([false, false]);
  });

  it('keeps the edited note with the case, as one step, and says when the plan has moved on', async () => {
    await openWithThreeTeeth();
    const written = controller.orderNote()!.written;
    expect(controller.orderNote()).toMatchObject({ text: written, isEdited: false, isOld: false });
    controller.editNote('Mine.');
    expect(controller.orderNote()).toMatchObject({ text: 'Mine.', isEdited: true, isOld: false });
    expect(controller.inputs().note).toEqual({ text: 'Mine.', basis: written });
    controller.change((inputs) => ({ ...inputs, limitMm: 0.4 }), 'limit');
    await settle();
    expect(controller.orderNote()).toMatchObject({ text: 'Mine.', isOld: true });
    controller.editNote(null);
    expect(controller.orderNote()).toMatchObject({ isEdited: false });
    controller.undo();
    expect(controller.orderNote()?.text).toBe('Mine.');
  });

  it('a plan that could not be checked stays, with the reason', async () => {
    client.failNext('completePlan', new Error('lost'));
    await openWithThreeTeeth();
    expect(controller.results.plan()?.answer).toBe('none-needed');
    expect(controller.results.planIsComplete()).toBe(false);
    expect(controller.results.jobs.check.state().kind).toBe('failed');
  });

  it('takes a refused click back, says why, and keeps the results', async () => {
    await openWithThreeTeeth();
    const before = controller.inputs();
    client.failNext('segment', inputError('TWO_TEETH_ONE_PLACE', '21 and 22 are clicked at one place.'));
    controller.addClick({ tooth: 22, point: at(16) });
    await settle();
    expect(controller.inputs()).toBe(before);
    expect(controller.refusal()?.message).toBe('21 and 22 are clicked at one place.');
    expect(controller.canRedo()).toBe(false);
    expect(controller.results.analysis()?.contacts).toHaveLength(2);
    controller.addClick({ tooth: 22, point: at(24) });
    expect(controller.refusal()).toBeNull();
    await settle();
    expect(controller.results.analysis()?.contacts).toHaveLength(3);
  });

  it('keeps a click when the failure is our own fault', async () => {
    await openWithThreeTeeth();
    client.failNext('segment', new ArchgapError('internal', 'INTERNAL', 'Fault.'));
    controller.addClick({ tooth: 22, point: at(24) });
    await settle();
    expect(clickedTeeth(controller.inputs())).toEqual([12, 11, 21, 22]);
    expect(controller.results.jobs.segment.state()).toMatchObject({
      kind: 'failed',
      error: { message: 'Fault.' },
    });
  });

  it('measures once after a run of clicks', async () => {
    await openWithThreeTeeth();
    client.calls.length = 0;
    for (const tooth of [22, 23, 24]) {
      controller.addClick({ tooth, point: at(tooth) });
      await vi.advanceTimersByTimeAsync(100);
    }
    await settle();
    expect(client.calls.filter((call) => call === 'measure')).toHaveLength(1);
    expect(controller.results.analysis()?.contacts).toHaveLength(5);
  });

  it('forgets teeth and contacts when the clicks are cleared, keeps the scan, and undo brings all back', async () => {
    await openWithThreeTeeth();
    controller.change((inputs) => ({ ...inputs, clicks: [] }));
    await settle();
    expect(controller.results.segmentation()).toBeNull();
    expect(controller.results.analysis()).toBeNull();
    expect(controller.results.plan()).toBeNull();
    expect(controller.open()).not.toBeNull();
    controller.undo();
    await settle();
    expect(controller.results.analysis()?.contacts).toHaveLength(2);
  });

  it('cuts the chosen contact and lets go of it', async () => {
    await openWithThreeTeeth();
    controller.results.select('12-11');
    await settle();
    expect(controller.results.section()).toMatchObject({ toothA: 12, toothB: 11 });
    controller.results.select(null);
    expect(controller.results.section()).toBeNull();
  });

  it('moves the clicks with the scan when the unit is overruled', async () => {
    await openWithThreeTeeth();
    await controller.overruleUnit('in');
    expect(controller.inputs().clicks[1]?.point[0]).toBeCloseTo(8 * 25.4, 9);
    expect(controller.open()?.unit).toBe('in');
  });

  it('opens the scan again after the worker died, and nothing is lost', async () => {
    await openWithThreeTeeth();
    const inputs = controller.inputs();
    const { visit, display } = controller.open()!;
    await controller.recover(new ArchgapError('internal', 'WORKER_STOPPED', 'Stopped.'));
    await settle();
    expect(controller.open()?.display.scanId).not.toBe(display.scanId);
    expect(controller.open()?.visit).toBe(visit);
    expect(controller.inputs()).toBe(inputs);
    expect(controller.canUndo()).toBe(false);
    expect(controller.results.analysis()?.contacts).toHaveLength(2);
    expect(controller.notice()?.sentence).toContain('nothing of the case was lost');
  });

  it('stops starting again after three deaths within a minute, but not after three in an hour', async () => {
    await openWithThreeTeeth();
    const death = new ArchgapError('internal', 'WORKER_STOPPED', 'Stopped.');
    for (let i = 0; i < 3; i++) {
      await controller.recover(death);
      await vi.advanceTimersByTimeAsync(20 * 60_000);
    }
    expect(controller.notice()?.sentence).toContain('nothing of the case was lost');
    for (let i = 0; i < 3; i++) await controller.recover(death);
    expect(controller.notice()?.sentence).toBe('Stopped. Your clicks and settings are as they were.');
  });

  it('speaks of no clicks when the worker died before a scan was open', async () => {
    await controller.recover(new ArchgapError('internal', 'WORKER_STOPPED', 'Stopped.'));
    expect(controller.notice()).toMatchObject({ kind: 'failed', sentence: 'Stopped.' });
  });

  it('lets the former scan go when another is open, and the new one when its clicks cannot be read', async () => {
    await openWithThreeTeeth();
    client.calls.length = 0;
    await controller.openFiles([scanFile()]);
    expect(client.calls).toContain('close');
    await settle();
    client.calls.length = 0;
    const before = controller.open();
    client.failNext('readClicks', inputError('CLICKS_INVALID', 'No clicks.'));
    await controller.openDemo();
    expect(controller.open()).toBe(before);
    expect(client.calls).toEqual(['openScan', 'readClicks', 'close']);
  });

  it('closes: nothing is left on the page', async () => {
    await openWithThreeTeeth();
    controller.closeCase();
    await settle();
    expect(controller.open()).toBeNull();
    expect(controller.inputs().clicks).toEqual([]);
    expect(controller.results.analysis()).toBeNull();
    expect(client.calls.at(-1)).toBe('close');
  });

  it('undo and redo cross a change of the unit: scan and clicks stay together', async () => {
    await openWithThreeTeeth();
    const before = controller.inputs();
    await controller.overruleUnit('in');
    await settle();
    const inches = controller.inputs();
    expect(controller.open()?.unit).toBe('in');
    controller.undo();
    await settle();
    expect(controller.open()?.unit).toBeNull();
    expect(controller.inputs()).toBe(before);
    expect(controller.results.analysis()).not.toBeNull();
    controller.redo();
    await settle();
    expect(controller.open()?.unit).toBe('in');
    expect(controller.inputs()).toBe(inches);
  });

  it('two scans at once are one case; either can be worked on, each with its own undo', async () => {
    await controller.openFiles([
      { name: 'b.lower.stl', bytes: new Uint8Array([2]) },
      { name: 'a.upper.stl', bytes: new Uint8Array([1]) },
    ]);
    await settle();
    expect([controller.open()?.fileName, controller.other()?.fileName]).toEqual([
      'a.upper.stl',
      'b.lower.stl',
    ]);
    expect(controller.results.opposing()?.fileName).toBe('b.lower.stl');
    controller.change((inputs) => ({ ...inputs, jaw: 'upper' }));
    for (const [k, tooth] of [12, 11, 21].entries()) controller.addClick({ tooth, point: at(8 * k) });
    await settle();
    const upper = controller.results.analysis();
    await controller.showOther();
    await settle();
    expect(controller.inputs().jaw).toBe('lower');
    expect(controller.canUndo(), 'nothing was done to it yet').toBe(false);
    expect(controller.other()?.analysis).toBe(upper);
    expect(controller.results.opposing()?.fileName).toBe('a.upper.stl');
    await controller.showOther();
    await settle();
    expect(clickedTeeth(controller.inputs())).toEqual([12, 11, 21]);
    controller.undo();
    expect(clickedTeeth(controller.inputs())).toEqual([12, 11]);
  });

  it('measures the other arch without showing it', async () => {
    await controller.openFiles([
      { name: 'a.upper.stl', bytes: new Uint8Array([1]) },
      { name: 'b.lower.stl', bytes: new Uint8Array([2]) },
    ]);
    controller.change((inputs) => ({ ...inputs, jaw: 'upper' }));
    for (const [k, tooth] of [12, 11].entries()) controller.addClick({ tooth, point: at(8 * k) });
    await controller.showOther();
    await settle();
    expect(controller.other()?.analysis).toBeNull();
    await controller.measureOther();
    expect(controller.other()?.analysis?.jaw).toBe('upper');
    expect(controller.open()?.fileName).toBe('b.lower.stl');
  });

  it('comes back from a case file as a case of its own, with everything said', async () => {
    await openWithThreeTeeth();
    controller.setOther({ name: 'lower.stl', bytes: new Uint8Array([7]) });
    await settle();
    const before = await contentRead(controller.kept()!.content);
    expect(await controller.writeCaseFile(null)).toMatchObject({ mediaType: 'application/zip' });
    controller.closeCase();
    const zip = new TextEncoder().encode('PK\x03\x04 manifest.json');
    expect(await controller.openFiles([{ name: 'case.zip', bytes: zip }])).toBe(true);
    await settle();
    expect(await contentRead(controller.kept()!.content)).toEqual(before);
    expect(controller.open()?.id).toBe('case-1');
  });

  it('asks for the passphrase of an encrypted case file, and says when it is wrong', async () => {
    await openWithThreeTeeth();
    await controller.writeCaseFile(null);
    const zip = new TextEncoder().encode('PK\x03\x04 sealed.json');
    client.failNext('unpackCase', inputError('CASE_FILE_SEALED', 'It is encrypted.'));
    expect(await controller.openFiles([{ name: 'case.zip', bytes: zip }])).toBe(false);
    expect(controller.sealed()?.name).toBe('case.zip');
    expect(controller.openJob.state().kind).toBe('idle');
    client.failNext('unpackCase', inputError('CASE_FILE_PASSPHRASE', 'Wrong.'));
    await controller.unseal('no');
    expect(controller.openJob.state()).toMatchObject({
      kind: 'failed',
      error: { message: '"case.zip": Wrong.' },
    });
    expect(controller.sealed()).not.toBeNull();
    await controller.unseal('yes');
    expect(controller.sealed()).toBeNull();
    expect(controller.open()?.demo).toBe(true);
  });

  it('refuses more files than a case holds, with a sentence', async () => {
    const scans = ['a', 'b', 'c'].map((name) => ({ name: `${name}.stl`, bytes: new Uint8Array([1]) }));
    expect(await controller.openFiles(scans)).toBe(false);
    expect(controller.openJob.state()).toMatchObject({ kind: 'failed', error: { code: 'TOO_MANY_FILES' } });
  });
});
