import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  type CaseInputs,
  emptyInputs,
  inUnit,
  withClick,
  withErased,
  withFixed,
  withJaw,
  withMissing,
  withToothRenumbered,
} from '../../../src/app/kernel/case-inputs.ts';
import { type History, record, startHistory, undo } from '../../../src/app/kernel/history.ts';
import { historyOfSteps, keptSteps } from '../../../src/app/kernel/kept-steps.ts';

const UPPER = [17, 16, 15, 14, 13, 12, 11, 21, 22, 23, 24, 25, 26, 27] as const;
const tooth = fc.constantFrom(...UPPER);

/** What users do, as functions of the inputs. */
const change: fc.Arbitrary<(inputs: CaseInputs) => CaseInputs> = fc.oneof(
  fc.tuple(tooth, fc.integer({ min: -30, max: 30 })).map(
    ([which, x]) =>
      (inputs: CaseInputs) =>
        withClick(inputs, { tooth: which, point: [x, 1, 2] }),
  ),
  fc.integer({ min: -30, max: 30 }).map((x) => (inputs: CaseInputs) => withErased(inputs, [[x, 1, 2]])),
  tooth.map((which) => (inputs: CaseInputs) => withMissing(inputs, which, true)),
  tooth.map((which) => (inputs: CaseInputs) => withFixed(inputs, which, true)),
  fc.tuple(tooth, tooth).map(
    ([a, b]) =>
      (inputs: CaseInputs) =>
        withToothRenumbered(inputs, a, b),
  ),
  fc
    .constantFrom('upper' as const, 'lower' as const)
    .map((jaw) => (inputs: CaseInputs) => withJaw(inputs, jaw)),
  fc.constantFrom('mm' as const, 'in' as const, null).map((unit) => (inputs: CaseInputs) => {
    const { unit: _, ...rest } = inputs;
    return inUnit(rest, unit);
  }),
  fc.constant((inputs: CaseInputs) => ({ ...inputs, heading: { patient: 'invented', practice: '' } })),
  fc
    .double({ min: 0, max: 1, noNaN: true })
    .map((limitMm) => (inputs: CaseInputs) => ({ ...inputs, limitMm })),
);

const historyOf = (changes: readonly ((inputs: CaseInputs) => CaseInputs)[], undone: number) => {
  let history: History<CaseInputs> = startHistory(emptyInputs());
  for (const make of changes) history = record(history, make(history.present));
  for (let k = 0; k < undone; k++) history = undo(history);
  return history;
};

describe('steps kept as what they change', () => {
  it('lead through the same inputs, back and forth, after they were text', () => {
    fc.assert(
      fc.property(fc.array(change, { maxLength: 25 }), fc.integer({ min: 0, max: 12 }), (changes, undone) => {
        const history = historyOf(changes, undone);
        const { present, steps } = JSON.parse(
          JSON.stringify({ present: history.present, steps: keptSteps(history) }),
        );
        const back = historyOfSteps(present, steps);
        expect(back.past).toEqual(history.past);
        expect(back.present).toEqual(history.present);
        expect(back.future).toEqual(history.future);
      }),
      { numRuns: 150 },
    );
  });

  it('are small: a click more is one click, not all of them', () => {
    let history: History<CaseInputs> = startHistory(withJaw(emptyInputs(), 'upper'));
    for (const [k, which] of UPPER.entries())
      history = record(history, withClick(history.present, { tooth: which, point: [k, 0, 0] }));
    const { undo: steps } = keptSteps(history);
    expect(steps[0]?.clicks).toEqual({ at: 13, drop: 1, put: [] });
    expect(JSON.stringify(steps).length / steps.length).toBeLessThan(120);
  });

  it('are at most a hundred, and of long strokes fewer, the newest ones', () => {
    let many = startHistory(emptyInputs());
    for (let k = 1; k <= 150; k++) many = record(many, { ...many.present, limitMm: k / 1000 });
    const back = historyOfSteps(many.present, keptSteps(many));
    expect(back.past).toHaveLength(100);
    expect(back.past.at(-1)?.limitMm).toBe(0.149);

    let painted = startHistory(emptyInputs());
    const stroke = Array.from({ length: 2000 }, (_, k) => ({
      tooth: 'gum' as const,
      point: [k, 0, 0] as const,
    }));
    for (let k = 0; k < 4; k++) {
      painted = record(painted, { ...painted.present, clicks: stroke.map((click) => ({ ...click })) });
    }
    expect(keptSteps(painted).undo).toHaveLength(1);
  });
});
