import { describe, expect, it } from 'vitest';
import * as inputs from '../../../src/app/kernel/case-inputs.ts';
import type { Vec3 } from '../../../src/geometry/types.ts';

const at = (x: number): Vec3 => [x, 0, 0];

/** Upper right first molar to central incisor, one click each, from the patient's right. */
function clicked(...teeth: number[]): inputs.CaseInputs {
  return teeth.reduce(
    (before, tooth, i) => inputs.withClick(before, { tooth, point: at(i) }),
    inputs.withJaw(inputs.emptyInputs(), 'upper'),
  );
}

describe('case inputs', () => {
  it('give the core nothing before the jaw and a tooth are known', () => {
    expect(inputs.clickSetOf(inputs.emptyInputs())).toBeNull();
    expect(inputs.clickSetOf(clicked())).toBeNull();
    const gumOnly = inputs.withClick(clicked(), { tooth: 'gum', point: at(1) });
    expect(inputs.clickSetOf(gumOnly)).toBeNull();
    expect(inputs.clickSetOf(clicked(16))?.jaw).toBe('upper');
  });

  it('list the clicked teeth in arch order, whatever the order of the clicks', () => {
    expect(inputs.clickedTeeth(clicked(21, 16, 11, 16))).toEqual([16, 11, 21]);
  });

  it('notice the numbers in between that are neither clicked nor missing', () => {
    const row = clicked(16, 13, 12);
    expect(inputs.unexplainedGaps(row)).toEqual([15, 14]);
    expect(inputs.unexplainedGaps(inputs.withMissing(row, 14, true))).toEqual([15]);
    expect(inputs.unexplainedGaps(clicked(16))).toEqual([]);
    expect(inputs.unexplainedGaps(inputs.emptyInputs())).toEqual([]);
  });

  it('swap two numbers when a tooth takes the number of another, marks and findings included', () => {
    let row = inputs.withFixed(clicked(15, 14, 13), 14, true);
    row = inputs.withFloss(row, { toothA: 14, toothB: 13 }, 'open', null, null);
    const swapped = inputs.withToothRenumbered(row, 14, 15);
    expect(swapped.clicks.map((click) => click.tooth)).toEqual([14, 15, 13]);
    expect(swapped.fixed).toEqual([15]);
    expect(inputs.flossAt(swapped, { toothA: 15, toothB: 13 })?.finding).toBe('open');
  });

  it('give a click another number alone where it corrects a tooth, the whole tooth where it is its first', () => {
    const row = inputs.withClick(clicked(15, 14), { tooth: 15, point: at(9) });
    const numbers = (changed: inputs.CaseInputs) => changed.clicks.map(({ tooth }) => tooth);
    expect(numbers(inputs.withClickRenumbered(row, row.clicks[2]!, 16))).toEqual([15, 14, 16]);
    expect(numbers(inputs.withClickRenumbered(row, row.clicks[1]!, 13))).toEqual([15, 13, 15]);
    // What was painted on it since goes with it.
    expect(numbers(inputs.withClickRenumbered(row, row.clicks[0]!, 16))).toEqual([16, 14, 16]);
    // A click that is no longer there.
    expect(inputs.withClickRenumbered(row, { ...row.clicks[0]! }, 16)).toBe(row);
  });

  it('are not counted on twice: a run that has its new numbers already stays', () => {
    const changes = [
      { from: 16, to: 15 },
      { from: 15, to: 14 },
      { from: 14, to: 13 },
    ] as const;
    const once = inputs.withTeethRenumbered(clicked(16, 15, 14, 12), changes);
    expect(once.clicks.map(({ tooth }) => tooth)).toEqual([15, 14, 13, 12]);
    expect(inputs.canRenumber(once, changes)).toBe(false);
    expect(inputs.withTeethRenumbered(once, changes)).toBe(once);
    // The last number belongs to a tooth that keeps it.
    const taken = clicked(16, 15, 14, 13);
    expect(inputs.withTeethRenumbered(taken, changes)).toBe(taken);
  });

  it('give a run of teeth other numbers at once, marks and findings included', () => {
    let row = inputs.withMissing(inputs.withFixed(clicked(15, 14, 13), 14, true), 16, true);
    row = inputs.withFloss(row, { toothA: 14, toothB: 13 }, 'open', null, null);
    const counted = inputs.withTeethRenumbered(row, [
      { from: 15, to: 16 },
      { from: 14, to: 15 },
    ]);
    expect(counted.clicks.map((click) => click.tooth)).toEqual([16, 15, 13]);
    expect(counted.fixed).toEqual([15]);
    expect(counted.missing).toEqual([]);
    expect(inputs.flossAt(counted, { toothA: 15, toothB: 13 })?.finding).toBe('open');
  });

  it('free a missing number that is given to a tooth or clicked', () => {
    const row = inputs.withMissing(clicked(16, 13), 14, true);
    expect(inputs.withToothRenumbered(row, 13, 14).missing).toEqual([]);
    expect(inputs.withClick(row, { tooth: 14, point: at(9) }).missing).toEqual([]);
  });

  it('remove the clicks of a tooth that is said to be missing, and its mark as fixed', () => {
    const row = inputs.withMissing(inputs.withFixed(clicked(16, 15), 16, true), 16, true);
    expect(inputs.clickedTeeth(row)).toEqual([15]);
    expect(row.missing).toEqual([16]);
    expect(row.fixed).toEqual([]);
  });

  it('keep side and place when the jaw is corrected, and come back unchanged', () => {
    const row = inputs.withMissing(clicked(18, 11, 21), 24, true);
    const lower = inputs.withJaw(row, 'lower');
    expect(lower.clicks.map((click) => click.tooth)).toEqual([48, 41, 31]);
    expect(lower.missing).toEqual([34]);
    expect(inputs.withJaw(lower, 'upper')).toEqual(row);
  });

  it('keep jaw and settings when the clicks are cleared', () => {
    const row = { ...inputs.withMissing(clicked(16, 13), 14, true), limitMm: 0.2 };
    const cleared = inputs.withoutClicks(row);
    expect(cleared).toMatchObject({ jaw: 'upper', clicks: [], missing: [], limitMm: 0.2 });
  });

  it('hand limit, fixed teeth and floss to the planner', () => {
    const row = inputs.withFloss(
      inputs.withFixed(clicked(16, 15), 16, true),
      { toothA: 16, toothB: 15 },
      'closed',
      null,
      '2026-01-05',
    );
    const settings = inputs.closureSettingsOf({ ...row, limitMm: 0.25 }, 'palmer');
    expect(settings).toMatchObject({ limitMm: 0.25, fixed: [16], numbering: 'palmer' });
    expect(settings.floss).toEqual([
      { toothA: 16, toothB: 15, finding: 'closed', spaceMm: null, foundOn: '2026-01-05' },
    ]);
  });

  it('keep over-closure by contact, under new numbers too, and hand it on as a target below zero', () => {
    const pair = { toothA: 16, toothB: 15 };
    const row = inputs.withOverClosure(clicked(16, 15), pair, 0.1);
    expect(inputs.overClosureAt(row, pair)).toBe(0.1);
    expect(inputs.closureSettingsOf(row, 'iso').targets).toEqual([{ ...pair, targetMm: -0.1 }]);
    expect(inputs.overClosureAt(inputs.withJaw(row, 'lower'), { toothA: 46, toothB: 45 })).toBe(0.1);
    expect(inputs.withOverClosure(row, pair, 0).closure.targets).toEqual([]);
  });
});
