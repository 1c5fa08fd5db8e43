import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { emptyInputs } from '../../../src/app/kernel/case-inputs.ts';
import type { CaseController } from '../../../src/app/kernel/create-case.ts';
import { keptBeside, stepsOfKept } from '../../../src/app/kernel/kept-beside.ts';
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

const ACTS: readonly Act[] = [
  ({ change }, random) => {
    const limitMm = 0.1 + Math.floor(random() * 1000) / 1000;
    change((inputs) => ({ ...inputs, limitMm }));
  },
  ({ setOther }, random) => {
    const serial = Math.floor(random() * 200);
    setOther({ name: `other-${serial}.stl`, bytes: new Uint8Array([serial, 1]) });
  },
  ({ setOther }) => setOther(null),
  ({ undo }) => undo(),
  ({ undo }) => undo(),
  ({ redo }) => redo(),
  (controller) => controller.showOther(),
];

const seen = ({ open, other, inputs, canUndo, canRedo }: CaseController) => ({
  open: open()?.fileName,
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
    const scan = { name: 'first.stl', bytes: new Uint8Array([9, 9, 9]) };
    for (const { controller } of [steady, page]) await controller.openFiles([scan]);
    await settle();
    const random = seededRandom(seed);
    for (let k = 0; k < 40; k++) {
      const act = ACTS[Math.floor(random() * ACTS.length)]!;
      const draw = random();
      for (const { controller } of [steady, page]) await act(controller, () => draw);
      expect(seen(page.controller), `step ${k}`).toEqual(seen(steady.controller));
      if (random() < 0.35) {
        await settle();
        page.leave();
        page = visit(reloaded);
        await page.persistence.restoreLast();
        expect(seen(page.controller), `reload after step ${k}`).toEqual(seen(steady.controller));
      }
    }
    // The way back to the start, to the end.
    while (steady.controller.canUndo()) {
      steady.controller.undo();
      page.controller.undo();
      expect(seen(page.controller)).toEqual(seen(steady.controller));
    }
  });

  it('are plain data that knows which scan a step has made, and forgets what has no place any more', () => {
    const open = bareArch({ name: 'open.stl', bytes: new Uint8Array([1]) }, emptyInputs());
    const former = bareArch({ name: 'former.stl', bytes: new Uint8Array([2]) }, emptyInputs());
    const other = bareArch({ name: 'other.stl', bytes: new Uint8Array([3]) }, emptyInputs());
    const at = open.history.present;
    const undo = [
      { at: other.history.present, to: null, made: null },
      { at: { ...at }, to: former, made: other.bytes },
      { at, to: former, made: other.bytes },
    ];
    const kept = keptBeside({ undo, redo: [] }, [open, other])!;
    expect(kept.undo).toEqual([
      { at: { arch: 1, step: 0 }, to: null, made: null },
      { at: { arch: 0, step: 0 }, to: 2, made: 1 },
    ]);
    expect(JSON.parse(JSON.stringify({ ...kept, aside: [] }))).toEqual({ ...kept, aside: [] });
    const back = stepsOfKept(kept, open.history, other);
    expect(back.undo[0]!.at).toBe(other.history.present);
    expect(back.undo[1]!.at).toBe(at);
    expect(back.undo[1]!.made).toBe(other.bytes);
    expect(back.undo[1]!.to).toMatchObject({ fileName: 'former.stl', history: former.history });
    const damaged = { ...kept, undo: [{ at: { arch: 7, step: -3 }, to: 9, made: null }] };
    expect(stepsOfKept(damaged, open.history, other)).toEqual({ undo: [], redo: [] });
    expect(keptBeside({ undo: [], redo: [] }, [open])).toBeNull();
  });
});
