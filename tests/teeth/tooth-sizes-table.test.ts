import { describe, expect, it } from 'vitest';
import { archOrder, digitOf } from '../../src/teeth/notation.ts';
import { textbookSize } from '../../src/teeth/tooth-sizes-table.ts';
import type { Jaw } from '../../src/teeth/types.ts';

function widthSum(jaw: Jaw, lastDigit: number): number {
  return archOrder(jaw)
    .filter((tooth) => digitOf(tooth) <= lastDigit)
    .reduce((sum, tooth) => sum + textbookSize(tooth).mesiodistalMm, 0);
}

describe('textbookSize', () => {
  it('gives the rows that were checked against a second source (upper 1 and 2)', () => {
    expect(textbookSize(11)).toEqual({ crownMm: 10.5, mesiodistalMm: 8.5, buccolingualMm: 7 });
    expect(textbookSize(22)).toEqual({ crownMm: 9, mesiodistalMm: 6.5, buccolingualMm: 6 });
  });

  // Bolton 1958: 91.3 +- 1.91 and 77.2 +- 1.65 %; the sums are facts.md section 4a.
  it('has widths whose sums sit on the published Bolton means', () => {
    expect(widthSum('upper', 6)).toBeCloseTo(93, 10);
    expect(widthSum('lower', 6)).toBeCloseTo(85, 10);
    expect(widthSum('upper', 7)).toBeCloseTo(111, 10);
    expect(widthSum('lower', 7)).toBeCloseTo(106, 10);
    expect((100 * widthSum('lower', 6)) / widthSum('upper', 6)).toBeCloseTo(91.398, 3);
    expect((100 * widthSum('lower', 3)) / widthSum('upper', 3)).toBeCloseTo(77.778, 3);
  });

  it('is the same on both sides', () => {
    for (const jaw of ['upper', 'lower'] as const) {
      const order = archOrder(jaw);
      const right = order.slice(0, 8).map(textbookSize);
      expect(order.slice(8).toReversed().map(textbookSize)).toEqual(right);
    }
  });
});
