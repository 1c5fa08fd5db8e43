import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import {
  withErased,
  withFixed,
  withFloss,
  withJaw,
  withMissing,
  withOverClosure,
  withoutClickOrStroke,
  withoutClicks,
  withoutTooth,
  withPractice,
  withRestoration,
  withScanner,
  withStroke,
  withToothRenumbered,
} from '../../../src/app/kernel/case-inputs.ts';
import type { CaseController } from '../../../src/app/kernel/create-case.ts';
import { DEFAULT_PRACTICE } from '../../../src/closure/practice.ts';
import { UNCALIBRATED_SCANNER } from '../../../src/contacts/settings.ts';
import { leaveAll, makeDevice, visit } from './fake-device.ts';

beforeEach(() => void vi.useFakeTimers());
afterEach(() => {
  leaveAll();
  vi.useRealTimers();
});
const settle = () => vi.advanceTimersByTimeAsync(1000);

const PAIR = { toothA: 12, toothB: 11 };
const file = (name: string) => ({ name, bytes: new TextEncoder().encode(name) });
type Act = (controller: CaseController) => unknown;

/** Whatever a person can do to a case. */
const ACTS: Readonly<Record<string, Act>> = {
  'the other jaw': ({ change }) => change((inputs) => withJaw(inputs, 'lower')),
  'a click': ({ addClick }) => addClick({ tooth: 22, point: [24, 0, 0] }),
  'accepted places': ({ addClicks }) =>
    addClicks([22, 23].map((tooth, k) => ({ tooth, point: [24 + 8 * k, 0, 0] }))),
  'a click moved': ({ moveClick }) => moveClick(1, [8, 1, 0]),
  'a click removed': ({ change }) => change((inputs) => withoutClickOrStroke(inputs, 0)),
  'a tooth removed': ({ change }) => change((inputs) => withoutTooth(inputs, 21)),
  'a click on the gum': ({ addClick }) => addClick({ tooth: 'gum', point: [4, 4, 0] }),
  'a stroke of the brush': ({ paint }) =>
    paint((inputs) => withStroke(inputs, [{ tooth: 11, point: [9, 1, 0] }]), 1),
  'the eraser': ({ paint }) => paint((inputs) => withErased(inputs, [[30, 0, 0]]), 2),
  'another number': ({ change }) => change((inputs) => withToothRenumbered(inputs, 21, 22)),
  'a missing tooth': ({ change }) => change((inputs) => withMissing(inputs, 13, true)),
  'a fixed tooth': ({ change }) => change((inputs) => withFixed(inputs, 11, true)),
  'all clicks cleared': ({ change }) => change(withoutClicks),
  'a click file': ({ openFiles }) =>
    openFiles([
      {
        name: 'clicks.json',
        bytes: new TextEncoder().encode('{"jaw":"upper","clicks":[],"missing":[],"fixed":[]}'),
      },
    ]),
  'a finding of floss': ({ change }) =>
    change((inputs) => withFloss(inputs, PAIR, 'closed', null, '2026-01-05')),
  'the limit': ({ change }) => change((inputs) => ({ ...inputs, limitMm: 0.2 })),
  'a setting of the plan': ({ change }) =>
    change((inputs) => ({ ...inputs, closure: { ...inputs.closure, maxStages: 2 } })),
  'closing beyond touching': ({ change }) => change((inputs) => withOverClosure(inputs, PAIR, 0.05)),
  'as the practice': ({ change }) =>
    change((inputs) => withPractice(inputs, { ...DEFAULT_PRACTICE, maxStages: 1 })),
  'the scanner': ({ change }) =>
    change((inputs) => withScanner(inputs, { ...UNCALIBRATED_SCANNER, name: 'bench' })),
  'the note': ({ editNote }) => editNote('As we spoke.'),
  'patient and practice': ({ change }) =>
    change((inputs) => ({ ...inputs, heading: { patient: 'invented', practice: 'invented' } })),
  'the day of the scan': ({ change }) => change((inputs) => ({ ...inputs, scannedOn: '2026-01-05' })),
  'the unit of the file': ({ overruleUnit }) => overruleUnit('cm'),
  'the other arch': ({ setOther }) => setOther(file('lower.stl')),
  'the next scan': ({ followUp }) => followUp.addNext(file('next.stl')),
  'a restoration': ({ change }) =>
    change((inputs) => withRestoration(inputs, { file: file('crown.stl'), tooth: 13 })),
};

const seen = ({ inputs, open, other, earlier }: CaseController) => ({
  inputs: inputs(),
  open: open()?.fileName,
  unit: open()?.unit,
  other: other()?.fileName,
  earlier: earlier().map(({ fileName }) => fileName),
});

describe('undo and redo', () => {
  it.each(Object.entries(ACTS))('of %s', async (_, act) => {
    const device = makeDevice();
    const { controller, persistence, leave } = visit(device);
    await controller.openFiles([file('upper.stl')]);
    controller.change((inputs) => withJaw(inputs, 'upper'));
    // The last two are of one tooth, so that the eraser has something to take.
    const teeth = [12, 11, 21, 21];
    controller.addClicks(teeth.map((tooth, k) => ({ tooth, point: [k < 3 ? 8 * k : 30, 0, 0] })));
    await settle();
    const before = seen(controller);
    await act(controller);
    await settle();
    const after = seen(controller);
    expect(after).not.toEqual(before);
    controller.undo();
    await settle();
    expect(seen(controller)).toEqual(before);
    controller.redo();
    await settle();
    expect(seen(controller)).toEqual(after);

    // A restoration stays with the page, everything else comes back with its undo.
    const { restoration, ...kept } = after.inputs;
    leave();
    await persistence.flush();
    const again = visit(device);
    await again.persistence.restoreLast();
    await settle();
    expect(seen(again.controller)).toMatchObject({ ...after, inputs: kept });
    again.controller.undo();
    await settle();
    expect(seen(again.controller)).toMatchObject(before);
    expect(restoration !== undefined).toBe(act === ACTS['a restoration']);
  });
});
