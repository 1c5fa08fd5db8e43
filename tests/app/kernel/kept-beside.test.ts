import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { emptyInputs, withJaw } from '../../../src/app/kernel/case-inputs.ts';
import type { CaseController } from '../../../src/app/kernel/create-case.ts';
import { scanFile } from '../../../src/app/kernel/given-file.ts';
import { type BesideStep, keptBeside, stepsOfKept } from '../../../src/app/kernel/kept-beside.ts';
import { bareArch } from '../../../src/app/kernel/other-arch.ts';
import { seededRandom } from '../../helpers/random.ts';
import { leaveAll, makeDevice, visit } from './fake-device.ts';

beforeEach(() => void vi.useFakeTimers());
afterEach(() => {
  leaveAll();
  vi.useRealTimers();
});
const settle = () => vi.advanceTimersByTimeAsync(1000);

type Act = (controller: CaseController, random: () => number) => Promise<void> | void;

/** Acts that make a step of scans. Of those the device keeps ten, the page alone all. */
const STEPS: readonly Act[] = [
  ({ setOther }, random) => {
    const serial = Math.floor(random() * 200);
    setOther({ name: `other-${serial}.stl`, bytes: new Uint8Array([serial, 1]) });
  },
  ({ setOther }) => setOther(null),
  ({ dropNewest }) => dropNewest(),
  ({ followUp }, random) => {
    const serial = Math.floor(random() * 200);
    return followUp.addNext({ name: `next-${serial}.stl`, bytes: new Uint8Array([serial, 2]) });
  },
];
const MOST_STEPS = 10;

const OTHERS: readonly Act[] = [
  ({ change }, random) => {
    const limitMm = 0.1 + Math.floor(random() * 1000) / 1000;
    change((inputs) => ({ ...inputs, limitMm }));
  },
  ({ undo }) => undo(),
  ({ undo }) => undo(),
  ({ redo }) => redo(),
  (controller) => controller.showOther(),
];

const seen = ({ open, earlier, other, inputs, canUndo, canRedo }: CaseController) => ({
  open: open()?.fileName,
  earlier: earlier().map(({ fileName }) => fileName),
  other: other()?.fileName ?? null,
  otherLimit: other()?.history.present.limitMm ?? null,
  limit: inputs().limitMm,
  canUndo: canUndo(),
  canRedo: canRedo(),
});

describe('undo and redo of the other arch', () => {
  it.each([1, 2, 3, 4, 5, 6])('are the same whether the page was reloaded or not, seed %i', async (seed) => {
    // Two devices: on one the page stays, on the other it is reloaded after every third step or so.
    const [stays, reloaded] = [makeDevice(), makeDevice()];
    const steady = visit(stays);
    let page = visit(reloaded);
    for (const { controller } of [steady, page]) {
      await controller.openFiles([{ name: 'first.stl', bytes: new Uint8Array([9, 9, 9]) }]);
      controller.change((inputs) => withJaw(inputs, 'upper'));
      controller.addClicks([11, 21].map((tooth, i) => ({ tooth, point: [8 * i, 0, 0] })));
    }
    await settle();
    const random = seededRandom(seed);
    let steps = 0;
    for (let k = 0; k < 40; k++) {
      const all = steps < MOST_STEPS ? [...STEPS, ...OTHERS] : OTHERS;
      const act = all[Math.floor(random() * all.length)]!;
      if (STEPS.includes(act)) steps += 1;
      const draw = random();
      for (const { controller } of [steady, page]) await act(controller, () => draw);
      // A step to another scan of the arch reads it first; a next scan waits for the measurements.
      await settle();
      expect(seen(page.controller), `step ${k}`).toEqual(seen(steady.controller));
      if (random() < 0.35) {
        await settle();
        page.leave();
        page = visit(reloaded);
        await page.persistence.restoreLast();
        await settle();
        expect(seen(page.controller), `reload after step ${k}`).toEqual(seen(steady.controller));
      }
    }
    // The way back to the start, to the end.
    while (steady.controller.canUndo()) {
      steady.controller.undo();
      page.controller.undo();
      await settle();
      expect(seen(page.controller)).toEqual(seen(steady.controller));
    }
  });

  it('are plain data that knows which scan a step has made, and forgets what has no place any more', () => {
    const open = bareArch(scanFile({ name: 'open.stl', bytes: new Uint8Array([1]) }), emptyInputs());
    const former = bareArch(scanFile({ name: 'former.stl', bytes: new Uint8Array([2]) }), emptyInputs());
    const other = bareArch(scanFile({ name: 'other.stl', bytes: new Uint8Array([3]) }), emptyInputs());
    const at = open.history.present;
    const undo: BesideStep[] = [
      { place: 'beside', at: other.history.present, to: null, made: null },
      { place: 'beside', at: { ...at }, to: former, made: other.bytes },
      { place: 'beside', at, to: former, made: other.bytes },
      { place: 'open', at, to: former },
    ];
    const kept = keptBeside({ undo, redo: [] }, [open, other])!;
    expect(kept.undo).toEqual([
      { at: { arch: 1, step: 0 }, to: null, made: null },
      { at: { arch: 0, step: 0 }, to: 2, made: 1 },
      { at: { arch: 0, step: 0 }, to: 2, made: null, round: true },
    ]);
    expect(JSON.parse(JSON.stringify({ ...kept, aside: [] }))).toEqual({ ...kept, aside: [] });
    const back = stepsOfKept(kept, open.history, other);
    expect(back.undo[0]!.at).toBe(other.history.present);
    expect(back.undo[1]!.at).toBe(at);
    expect(back.undo[1]).toMatchObject({ place: 'beside', made: other.bytes });
    expect(back.undo[1]!.to).toMatchObject({ fileName: 'former.stl', history: former.history });
    expect(back.undo[2]).toEqual({ place: 'open', at, to: back.undo[1]!.to });
    const damaged = { ...kept, undo: [{ at: { arch: 7, step: -3 }, to: 9, made: null }] };
    expect(stepsOfKept(damaged, open.history, other)).toEqual({ undo: [], redo: [] });
    expect(keptBeside({ undo: [], redo: [] }, [open])).toBeNull();
  });
});
