import { createRoot } from 'solid-js';
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { withScanner } from '../../../src/app/kernel/case-inputs.ts';
import { type CaseController, createCase } from '../../../src/app/kernel/create-case.ts';
import type { KeptScan } from '../../../src/app/kernel/scan-bytes.ts';
import type { ScannerProfile } from '../../../src/contacts/types.ts';
import { BENCH, CLICKS } from './bench-scanner.ts';
import { makeFakeClient } from './fake-client.ts';

beforeEach(() => void vi.useFakeTimers({ now: new Date('2026-01-05T10:00:00Z') }));
afterEach(() => void vi.useRealTimers());

const settled = () => vi.advanceTimersByTimeAsync(3000);

/** The demo arch with a second scan beside it, in a page of its own. */
async function begin(device: ScannerProfile | null) {
  const { end, controller } = createRoot((dispose) => ({
    end: dispose,
    controller: createCase({
      client: makeFakeClient(),
      fetchDemo: async () => ({ scan: { name: 'a.ply', bytes: new Uint8Array([1]) }, clicks: CLICKS }),
      newId: () => 'case-1',
      numbering: () => 'iso',
      scanner: () => device,
      version: '0.0.0',
      now: () => new Date(),
    }),
  }));
  await controller.openDemo();
  await settled();
  return { end, controller };
}

/** Shows the other arch, says there that the scan was made with the scanner, and comes back. */
async function chooseScannerOnOther(controller: CaseController): Promise<void> {
  await controller.showOther();
  await settled();
  controller.change((inputs) => withScanner(inputs, BENCH), 'scanner');
  await settled();
  await controller.showOther();
  await settled();
}

it('undo of a step of one arch never takes back the scanner that was chosen while the other was open', async () => {
  const { controller, end } = await begin(null);
  controller.setOther({ name: 'b.ply', bytes: new Uint8Array([2]) });
  await settled();
  controller.change((inputs) => ({ ...inputs, limitMm: 0.12 }));
  await chooseScannerOnOther(controller);
  expect([controller.inputs().limitMm, controller.scanner()?.name]).toEqual([0.12, 'bench']);
  controller.undo();
  await settled();
  expect([controller.inputs().limitMm, controller.scanner()?.name]).toEqual([0.1, 'bench']);
  expect(controller.other()?.history.present.scanner?.name).toBe('bench');
  controller.redo();
  expect([controller.inputs().limitMm, controller.scanner()?.name]).toEqual([0.12, 'bench']);
  end();
});

it('adding the other arch can be undone after a scanner was chosen on it', async () => {
  const { controller, end } = await begin(null);
  controller.setOther({ name: 'b.ply', bytes: new Uint8Array([2]) });
  await settled();
  await chooseScannerOnOther(controller);
  expect(controller.other()).not.toBeNull();
  controller.undo();
  expect(controller.other()).toBeNull();
  controller.redo();
  expect(controller.other()?.fileName).toBe('b.ply');
  end();
});

it('undo of next scans in one arch keeps the scanner that was chosen while the other was open', async () => {
  const { controller, end } = await begin(null);
  controller.setOther({ name: 'b.ply', bytes: new Uint8Array([2]) });
  await settled();
  for (const [k, name] of ['a2.ply', 'a3.ply'].entries()) {
    await controller.followUp.addNext({ name, bytes: new Uint8Array([7 + k]) });
    await settled();
  }
  await chooseScannerOnOther(controller);
  const seen = () => [
    controller.open()?.fileName,
    controller.scanner()?.name,
    controller.other()?.history.present.scanner?.name,
  ];
  const rounds = ['a3.ply', 'a2.ply', 'a.ply'];
  for (const name of rounds) {
    expect(seen()).toEqual([name, 'bench', 'bench']);
    controller.undo();
    await settled();
  }
  for (let k = 0; controller.open()?.fileName !== 'a3.ply' && k < 9; k++) {
    controller.redo();
    await settled();
  }
  expect(seen()).toEqual(['a3.ply', 'bench', 'bench']);
  end();
});

it('a next scan of a case that names no scanner takes over the terms that the earlier one was measured with', async () => {
  const { controller, end } = await begin(BENCH);
  const kept = controller.kept()!;
  const { scanner: _, ...unsaid } = kept.content.arches[0].inputs;
  const [first, ...rest] = kept.content.arches;
  await controller.restore('case-1', {
    ...kept,
    content: {
      ...kept.content,
      arches: [{ ...first, inputs: unsaid }, ...rest] as typeof kept.content.arches,
    },
  });
  await settled();
  expect(controller.inputs().scanner?.name).toBe('bench');
  await controller.followUp.addNext({ name: 'next.ply', bytes: new Uint8Array([3]) });
  await settled();
  expect(controller.open()?.fileName).toBe('next.ply');
  expect([controller.inputs().scanner?.name, controller.scannerTakenOver()]).toEqual(['bench', true]);
  end();
});

it('a case of old that holds a next scan says its scanner once, for all scans, as taken over', async () => {
  const first = await begin(null);
  await first.controller.followUp.addNext({ name: 'next.ply', bytes: new Uint8Array([3]) });
  await settled();
  const [arch] = first.controller.kept()!.content.arches;
  first.end();
  const unsaid = <Scan extends KeptScan>(scan: Scan): Scan => {
    const { scanner: _, scannerTakenOver: __, ...inputs } = scan.inputs;
    return { ...scan, inputs };
  };
  const old = { ...unsaid(arch), earlier: arch.earlier!.map(unsaid) };
  const { controller, end } = await begin(BENCH);
  await controller.restore('case-1', { content: { demo: true, arches: [old] }, steps: [] });
  await settled();
  expect([controller.scanner()?.name, controller.scannerTakenOver()]).toEqual(['bench', true]);
  // What is chosen now is of the new scan; the earlier one stays as it was measured, over a reload, too.
  controller.change((inputs) => withScanner(inputs, null), 'scanner');
  const [again] = controller.kept()!.content.arches;
  expect([again.inputs.scanner, again.earlier![0]!.inputs.scanner?.name]).toEqual([null, 'bench']);
  end();
});

it('says so when a step back takes the arch out of the case that is not in sight, and what it takes along', async () => {
  const { controller, end } = await begin(null);
  controller.setOther({ name: 'b.ply', bytes: new Uint8Array([2]) });
  await settled();
  const said = () => controller.notice()?.sentence ?? null;
  controller.undo();
  expect(said()).toBe('The other arch (b.ply, lower jaw) is taken out of the case. Redo brings it back.');
  controller.redo();
  expect([said(), controller.other()?.fileName]).toEqual([null, 'b.ply']);
  await controller.showOther();
  await settled();
  controller.addClicks([41, 31].map((tooth) => ({ tooth, point: [tooth, 0, 0] as const })));
  await settled();
  await controller.showOther();
  await settled();
  controller.undo();
  expect(said()).toContain('with 2 clicked teeth. Redo brings it back.');
  // What was said is over with the next step, whatever that is.
  controller.undo();
  expect(said()).toBeNull();
  end();
});
