import { expect, it } from 'vitest';
import * as inputs from '../../../src/app/kernel/case-inputs.ts';
import { withSidesExchanged } from '../../../src/app/kernel/exchange-sides.ts';

/** A lower row that was begun at the patient's left as if it were the right. */
function row(): inputs.CaseInputs {
  let said = inputs.withJaw(inputs.emptyInputs(), 'lower');
  for (const [k, tooth] of [47, 46, 41, 31].entries()) {
    said = inputs.withClick(said, { tooth, point: [k, 0, 0] });
  }
  said = inputs.withClick(said, { tooth: 'gum', point: [9, 0, 0] });
  said = inputs.withMissing(inputs.withFixed(said, 46, true), 45, true);
  said = inputs.withFloss(said, { toothA: 47, toothB: 46 }, 'open', 0.3, null);
  said = inputs.withOverClosure(said, { toothA: 46, toothB: 45 }, 0.2);
  said = inputs.withOverClosure(said, { toothA: 41, toothB: 31 }, 0.1);
  return inputs.withRestoration(said, { tooth: 47 });
}

it('gives every tooth the number of the same tooth on the other side, with all that was said of it', () => {
  const turned = withSidesExchanged(row());
  expect(turned.clicks.map(({ tooth }) => tooth)).toEqual([37, 36, 31, 41, 'gum']);
  expect(turned.clicks.map(({ point }) => point[0])).toEqual([0, 1, 2, 3, 9]);
  expect([turned.missing, turned.fixed]).toEqual([[35], [36]]);
  expect(inputs.restorationOf(turned).tooth).toBe(37);
});

it('names pairs from the right again, so that findings and targets stay at their contacts', () => {
  const turned = withSidesExchanged(row());
  expect(inputs.flossAt(turned, { toothA: 36, toothB: 37 })).toMatchObject({ finding: 'open', spaceMm: 0.3 });
  expect(turned.floss).toHaveLength(1);
  expect(inputs.overClosureAt(turned, { toothA: 41, toothB: 31 })).toBe(0.1);
  expect(inputs.overClosureAt(turned, { toothA: 35, toothB: 36 })).toBe(0.2);
});

it('twice is as before, and without a jaw nothing is exchanged', () => {
  expect(withSidesExchanged(withSidesExchanged(row()))).toEqual(row());
  const empty = inputs.emptyInputs();
  expect(withSidesExchanged(empty)).toBe(empty);
});
