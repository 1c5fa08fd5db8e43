import { createRoot } from 'solid-js';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { withFixed, withoutTooth, withScanner } from '../../../src/app/kernel/case-inputs.ts';
import { type CaseController, createCase } from '../../../src/app/kernel/create-case.ts';
import type { CaseFile } from '../../../src/app/kernel/given-file.ts';
import { UNCALIBRATED_SCANNER } from '../../../src/contacts/settings.ts';
import { ArchgapError, inputError } from '../../../src/geometry/archgap-error.ts';
import { IDENTITY_MOTION } from '../../../src/geometry/rigid.ts';
import { type FakeClient, makeFakeClient } from './fake-client.ts';

const file = (name: string, byte: number): CaseFile => ({ name, bytes: new Uint8Array([byte]) });
const FIRST = file('first.stl', 1);
const NEXT = file('second.stl', 2);
const CLICKS = JSON.stringify({
  jaw: 'upper',
  clicks: [12, 11, 21].map((tooth, i) => ({ tooth, point: [8 * i, 0, 0] })),
  missing: [],
  fixed: [],
});

let client: FakeClient;
let controller: CaseController;
let dispose: () => void;

beforeEach(async () => {
  vi.useFakeTimers({ now: new Date('2026-01-05T10:00:00Z') });
  client = makeFakeClient();
  createRoot((end) => {
    dispose = end;
    controller = createCase({
      client,
      fetchDemo: async () => ({ scan: FIRST, clicks: CLICKS }),
      newId: () => 'case-1',
      numbering: () => 'iso',
      version: '0.0.0',
      now: () => new Date(),
    });
  });
  await controller.openDemo();
  await settle();
});
afterEach(() => {
  dispose();
  vi.useRealTimers();
});

const settle = () => vi.advanceTimersByTimeAsync(2000);
const addNext = async (next = NEXT) => {
  await controller.followUp.addNext(next);
  await settle();
};
const names = () => [
  ...controller.earlier().map(({ fileName }) => fileName),
  controller.open()?.fileName ?? '',
];

describe('the next scan of a case', () => {
  it('becomes the scan worked on, with the clicks of the one before, which stays measured', async () => {
    client.calls.length = 0;
    await addNext();
    expect(names()).toEqual(['first.stl', 'second.stl']);
    expect(controller.inputs().clicks).toHaveLength(3);
    expect(controller.followUp.comparison()?.changes.map(({ kind }) => kind)).toEqual([
      'not-closed',
      'not-closed',
    ]);
    // The earlier scan was neither read nor measured again.
    expect(client.calls.filter((name) => name === 'openScan' || name === 'measure')).toHaveLength(2);
    expect(controller.followUp.history().map(({ label }) => label)).toEqual(names());
  });

  it('is told from an earlier one of the same file name wherever it is named', async () => {
    // The fingerprint of a scan that is played is its name.
    const { openScan } = client;
    vi.spyOn(client, 'openScan').mockImplementationOnce(async (...asked) => {
      const { facts, ...reply } = await openScan(...asked);
      return { ...reply, facts: { ...facts, source: { ...facts.source, sha256: 'another' } } };
    });
    await addNext(file('first.stl', 2));
    const { followUp } = controller;
    expect(followUp.names()).toEqual(['first.stl (earlier scan)', 'first.stl (new scan)']);
    expect(followUp.comparison()?.names).toEqual(followUp.names());
    expect(controller.orderNote()?.text).toContain('scan first.stl (new scan)\n');
    expect(followUp.history().map(({ label }) => label)).toEqual(followUp.names());
    controller.change((inputs) => ({ ...inputs, scannedOn: '2026-01-05' }));
    await settle();
    expect(followUp.comparison()?.names[1]).toBe('first.stl of 2026-01-05');
    expect(controller.orderNote()?.text).toContain('scan first.stl of 2026-01-05\n');
    expect(followUp.history().map(({ label }) => label)).toEqual(['first.stl (earlier scan)', '2026-01-05']);
    const request = vi.spyOn(client, 'writeFile');
    const written = await controller.writeFile('compare-html');
    expect(written?.fileName).toBe('demo-upper-compare-html');
    expect(controller.savedPrefix()).toBe('demo-upper-');
    expect(request.mock.calls[0]?.[1]).toMatchObject({
      scanName: 'first.stl of 2026-01-05',
      comparison: { names: ['first.stl (earlier scan)', 'first.stl of 2026-01-05'] },
    });
  });

  it('is told to bear other numbers where its crowns are those of other teeth', async () => {
    const { layOver } = client;
    vi.spyOn(client, 'layOver').mockImplementation(async (...asked) => {
      const { alignment, clicks } = await layOver(...asked);
      const teeth = alignment.teeth.map((one) => ({ ...one, motion: IDENTITY_MOTION }));
      return { alignment: { ...alignment, motion: IDENTITY_MOTION, teeth }, clicks };
    });
    const { measure } = client;
    // The middle of a crown is where it was clicked.
    vi.spyOn(client, 'measure').mockImplementation(async (scanId, clicks, ...rest) => {
      const { analysis, settled } = await measure(scanId, clicks, ...rest);
      const teeth = clicks.clicks.map(({ tooth, point }) => ({ tooth, centre: point }));
      return { analysis: { ...analysis, teeth: teeth as unknown as typeof analysis.teeth }, settled };
    });
    controller.moveClick(0, [0.5, 0, 0]);
    await settle();
    const told = () =>
      controller.followUp.comparison()?.warnings.find(({ code }) => code === 'NUMBERED_OTHERWISE');
    await addNext();
    expect(controller.followUp.comparison()?.changes).toHaveLength(2);
    expect(told()).toBeUndefined();
    controller.change((inputs) => ({
      ...inputs,
      clicks: inputs.clicks.map((click) => (click.tooth === 12 ? { ...click, tooth: 13 } : click)),
    }));
    await settle();
    // The earlier number first.
    expect(told()?.sentence).toContain('12 is 13 there');
    expect(told()?.teeth).toEqual([12, 13]);
  });

  it('leaves behind what was said of the earlier scan alone', async () => {
    controller.change((inputs) => ({
      ...inputs,
      floss: [{ toothA: 12, toothB: 11, finding: 'open' }],
      scannedOn: '2026-01-01',
      limitMm: 0.2,
    }));
    await settle();
    await addNext();
    expect(controller.inputs()).toMatchObject({ floss: [], scannedOn: null, limitMm: 0.2, jaw: 'upper' });
    expect(controller.earlier()[0]?.inputs).toMatchObject({
      scannedOn: '2026-01-01',
      floss: [{ toothA: 12 }],
    });
  });

  it('holds the teeth that must not be moved now, not those of when the scan was measured', async () => {
    controller.change((inputs) => withFixed(inputs, 11, true));
    await settle();
    await addNext();
    expect(controller.inputs().fixed).toEqual([11]);
    controller.change((inputs) => withFixed(withFixed(inputs, 11, false), 21, true));
    await settle();
    await addNext(file('third.stl', 3));
    expect(controller.inputs().fixed).toEqual([21]);
  });

  it('is held against a plan that was not made anew yet since the last change', async () => {
    const plans = vi.spyOn(client, 'completePlan');
    controller.change((inputs) => withFixed(inputs, 11, true));
    expect(controller.results.planIsOld()).toBe(true);
    plans.mockClear();
    await controller.followUp.addNext(NEXT);
    expect(plans.mock.calls.map(([, , { fixed }]) => fixed)).toEqual([[11]]);
  });

  it('holds no tooth that the carried clicks do not have, and one that was marked while it was read', async () => {
    controller.change((inputs) => withFixed(withFixed(inputs, 11, true), 12, true));
    await settle();
    const { layOver } = client;
    const carried = controller.inputs().clicks.filter(({ tooth }) => tooth !== 12);
    vi.spyOn(client, 'layOver').mockImplementation(async (...asked) => {
      const { alignment, clicks } = await layOver(...asked);
      return { alignment, clicks: { ...clicks, clicks: carried } };
    });
    const adding = controller.followUp.addNext(NEXT);
    controller.change((inputs) => withFixed(inputs, 21, true));
    await adding;
    expect(controller.inputs().fixed).toEqual([11, 21]);
    await settle();
    // A tooth that is taken away meanwhile is still one of the carried ones.
    const again = controller.followUp.addNext(file('third.stl', 3));
    controller.change((inputs) => withoutTooth(inputs, 11));
    await again;
    expect(controller.inputs().fixed).toEqual([11, 21]);
  });

  it('what is said about the open scan while the next one is read stays with it', async () => {
    const measured = () => client.calls.filter((name) => name === 'measure').length;
    const whileRead = async (say: () => void) => {
      client.calls.length = 0;
      const adding = controller.followUp.addNext(NEXT);
      say();
      await adding;
      await settle();
      expect(names()).toEqual(['first.stl', 'second.stl']);
      expect(controller.followUp.comparison()).not.toBeNull();
    };
    await whileRead(() => controller.change((inputs) => ({ ...inputs, scannedOn: '2026-01-01' })));
    expect(controller.earlier()[0]?.inputs.scannedOn).toBe('2026-01-01');
    expect(controller.kept()?.content.arches[0].earlier?.[0]?.inputs.scannedOn).toBe('2026-01-01');
    // A day changes nothing of what was measured and planned; findings change the plan, clicks both.
    expect(measured()).toBe(1);
    controller.undo();
    await settle();
    const floss = [{ toothA: 12, toothB: 11, finding: 'open' }] as const;
    await whileRead(() => controller.change((inputs) => ({ ...inputs, floss })));
    expect(controller.earlier()[0]?.inputs.floss).toEqual(floss);
    expect(measured()).toBe(2);
    controller.undo();
    await settle();
    await whileRead(() => controller.change((inputs) => ({ ...inputs, missing: [22] })));
    expect(controller.earlier()[0]?.inputs.missing).toEqual([22]);
    expect(measured()).toBe(2);
  });

  it('is marked where its scanner was only taken over, until somebody says that it is the same', async () => {
    const bench = { ...UNCALIBRATED_SCANNER, name: 'bench' };
    controller.change((inputs) => withScanner(inputs, bench), 'scanner');
    await settle();
    expect(controller.scannerTakenOver()).toBe(false);
    await addNext();
    const marked = () => controller.results.analysis()?.settings.scannerTakenOver;
    expect([controller.scanner(), controller.scannerTakenOver(), marked()]).toEqual([bench, true, true]);
    expect(controller.earlier()[0]?.inputs).not.toHaveProperty('scannerTakenOver');
    controller.change((inputs) => withScanner(inputs, bench), 'scanner');
    await settle();
    expect([controller.scanner(), controller.scannerTakenOver(), marked()]).toEqual([
      bench,
      false,
      undefined,
    ]);
    controller.undo();
    expect([controller.scannerTakenOver(), marked()]).toEqual([true, true]);
    // It stays with the case, and a third scan is marked anew.
    const kept = controller.kept()!;
    expect(kept.content.arches[0].inputs.scannerTakenOver).toBe(true);
    await controller.restore('case-1', kept);
    await settle();
    expect(marked()).toBe(true);
  });

  it('that does not lie over the open one is refused, and can be clicked by hand', async () => {
    client.failNext('layOver', inputError('SCANS_DO_NOT_MATCH', 'No.'));
    await addNext();
    expect(names()).toEqual(['first.stl']);
    expect(controller.followUp.refused()?.error.code).toBe('SCANS_DO_NOT_MATCH');
    expect(controller.openJob.state().kind).toBe('idle');
    client.failNext('layOver', inputError('SCANS_DO_NOT_MATCH', 'No.'));
    await controller.followUp.addNext(NEXT, 'by-hand');
    await settle();
    expect(names()).toEqual(['first.stl', 'second.stl']);
    expect(controller.inputs()).toMatchObject({ clicks: [], jaw: 'upper' });
    controller.addClicks([11, 21].map((tooth, i) => ({ tooth, point: [8 * i, 0, 0] })));
    await settle();
    expect(controller.followUp.comparison()).toMatchObject({ alignment: null });
    expect(controller.followUp.comparison()?.warnings.map(({ code }) => code)).toEqual([
      'SCANS_DO_NOT_MATCH',
    ]);
  });

  it('that is stopped while it is laid over leaves the case as it was', async () => {
    const adding = controller.followUp.addNext(NEXT);
    controller.openJob.cancel();
    await adding;
    await settle();
    expect(names()).toEqual(['first.stl']);
    expect(controller.followUp.refused()).toBeNull();
  });

  it('can be taken out again', async () => {
    await addNext();
    await controller.dropNewest();
    await settle();
    expect(names()).toEqual(['first.stl']);
    expect(controller.inputs().clicks).toHaveLength(3);
    expect(controller.followUp.comparison()).toBeNull();
  });

  it('is a step of undo, as taking it out is', async () => {
    const go = async (act: () => void) => {
      act();
      await settle();
    };
    controller.change((inputs) => ({ ...inputs, limitMm: 0.2 }));
    await addNext();
    controller.change((inputs) => ({ ...inputs, limitMm: 0.3 }));
    await controller.dropNewest();
    await settle();
    expect([names(), controller.inputs().limitMm]).toEqual([['first.stl'], 0.2]);
    await go(controller.undo);
    expect([names(), controller.inputs().limitMm]).toEqual([['first.stl', 'second.stl'], 0.3]);
    expect(controller.followUp.comparison()?.changes).toHaveLength(2);
    await go(controller.undo);
    expect([names(), controller.inputs().limitMm]).toEqual([['first.stl', 'second.stl'], 0.2]);
    await go(controller.undo);
    expect([names(), controller.inputs().limitMm]).toEqual([['first.stl'], 0.2]);
    expect(controller.followUp.comparison()).toBeNull();
    await go(controller.undo);
    expect(controller.inputs().limitMm).toBe(0.1);
    for (const limitMm of [0.2, 0.2, 0.3, 0.2]) {
      await go(controller.redo);
      expect(controller.inputs().limitMm).toBe(limitMm);
    }
    expect([names(), controller.canRedo()]).toEqual([['first.stl'], false]);
  });

  it('stays where it is when something is done while undo reads the scan before', async () => {
    await addNext();
    controller.undo();
    controller.change((inputs) => ({ ...inputs, limitMm: 0.3 }));
    await settle();
    expect([names(), controller.inputs().limitMm]).toEqual([['first.stl', 'second.stl'], 0.3]);
    controller.undo();
    controller.undo();
    controller.undo();
    await settle();
    expect([names(), controller.canRedo()]).toEqual([['first.stl'], true]);
  });

  it('comes back from a saved case, and the earlier scan is measured anew', async () => {
    await addNext();
    const kept = controller.kept();
    expect(kept?.content.arches[0].earlier?.map(({ fileName }) => fileName)).toEqual(['first.stl']);
    controller.closeCase();
    await settle();
    if (kept) await controller.restore('case-1', kept);
    await settle();
    expect(names()).toEqual(['first.stl', 'second.stl']);
    expect(controller.followUp.comparison()?.changes).toHaveLength(2);
  });

  it('comes with its case file, too', async () => {
    await controller.writeCaseFile(null);
    const zip = { name: 'case.zip', bytes: new TextEncoder().encode('PK\x03\x04 manifest.json') };
    await controller.openFiles([zip, NEXT]);
    await settle();
    expect(names()).toEqual(['first.stl', 'second.stl']);
  });

  it('waits for the passphrase of the case file it came with', async () => {
    await controller.writeCaseFile(null);
    const sealed = { name: 'case.agsealed', bytes: new TextEncoder().encode('PK\x03\x04 manifest.json') };
    client.failNext('unpackCase', inputError('CASE_FILE_SEALED', 'Give the passphrase.'));
    await controller.openFiles([sealed, NEXT]);
    expect(controller.sealed()).toBe(sealed);
    await controller.unseal('open');
    await settle();
    expect(names()).toEqual(['first.stl', 'second.stl']);
  });

  it('is compared with the scan that is chosen, and again after the worker died', async () => {
    await addNext();
    await addNext(file('third.stl', 3));
    expect(controller.followUp.comparison()?.scan.fileName).toBe('second.stl');
    controller.followUp.setAgainst(0);
    await settle();
    expect(controller.followUp.comparison()?.scan.fileName).toBe('first.stl');
    expect(controller.followUp.history()).toHaveLength(3);
    await controller.recover(new ArchgapError('internal', 'WORKER_STOPPED', 'Gone.'));
    await settle();
    expect(controller.followUp.comparison()?.scan.fileName).toBe('first.stl');
  });

  it('says of an earlier scan that could not be measured that it is missing, and tries again', async () => {
    await addNext();
    await addNext(file('third.stl', 3));
    const kept = controller.kept();
    controller.closeCase();
    await settle();
    if (!kept) throw new Error('no case');
    client.failNext('completePlan', inputError('NO_PLAN', 'No.'));
    await controller.restore('case-1', kept);
    await settle();
    const measured = () => controller.followUp.history().map(({ analysis }) => analysis !== null);
    expect(measured()).toEqual([false, false, true]);
    expect(controller.followUp.isStopped()).toBe(true);
    controller.followUp.tryAgain();
    await settle();
    expect(measured()).toEqual([true, true, true]);
  });

  it('leaves the opposing arch of the round before out of the room', async () => {
    controller.setOther(file('lower.stl', 9));
    await settle();
    expect(controller.opposing()?.fileName).toBe('lower.stl');
    await addNext();
    expect(controller.other()?.fileName).toBe('lower.stl');
    expect(controller.opposing()).toBeNull();
    expect(controller.results.opposing()).toBeNull();
  });
});
