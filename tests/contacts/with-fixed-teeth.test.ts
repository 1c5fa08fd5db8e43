import { describe, expect, it } from 'vitest';
import type { Analysis } from '../../src/contacts/types.ts';
import { withFixedTeeth } from '../../src/contacts/with-fixed-teeth.ts';

const analysis = {
  teeth: [
    { tooth: 11, fixed: true },
    { tooth: 12, fixed: false },
  ],
  contacts: [],
} as unknown as Analysis;

describe('withFixedTeeth', () => {
  it('marks the teeth that are named and no others, and leaves the one it was given as it is', () => {
    const other = withFixedTeeth(analysis, [12, 36]);
    expect(other.teeth.map(({ tooth, fixed }) => [tooth, fixed])).toEqual([
      [11, false],
      [12, true],
    ]);
    expect(other.contacts).toBe(analysis.contacts);
    expect(analysis.teeth.map(({ fixed }) => fixed)).toEqual([true, false]);
  });

  it('is the very analysis where nothing changes, so that nothing is planned again', () => {
    expect(withFixedTeeth(analysis, [11])).toBe(analysis);
    expect(withFixedTeeth(analysis, [11, 36])).toBe(analysis);
  });
});
