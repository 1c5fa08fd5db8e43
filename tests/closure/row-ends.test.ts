import { describe, expect, it } from 'vitest';
import { unseenEnds } from '../../src/closure/row-ends.ts';

const ends = (...args: Parameters<typeof unseenEnds>) =>
  unseenEnds(...args).map(({ tooth, behind }) => [tooth, behind]);

describe('ends of a row', () => {
  it('a row to the second or third molars ends there', () => {
    expect(ends('upper', [17, 11, 21, 27], [])).toEqual([]);
    expect(ends('lower', [48, 41, 31, 38], [])).toEqual([]);
  });

  it('a row that stops before the second molar may go on, unless the rest is missing', () => {
    expect(ends('upper', [16, 11, 21, 27], [])).toEqual([[16, 17]]);
    expect(ends('upper', [16, 11, 21, 27], [17])).toEqual([]);
    expect(ends('upper', [15, 11, 21, 27], [16])).toEqual([[15, 17]]);
    expect(ends('upper', [15, 11, 21, 27], [16, 17])).toEqual([]);
  });

  it('a quadrant goes on across the midline', () => {
    expect(ends('upper', [17, 16, 11], [])).toEqual([[11, 21]]);
    expect(ends('lower', [31, 32, 37], [])).toEqual([[31, 41]]);
    expect(ends('lower', [31, 32, 37], [41, 42, 43, 44, 45, 46, 47])).toEqual([]);
  });

  it('one tooth has two ends, none has none', () => {
    expect(ends('upper', [11], [])).toEqual([
      [11, 12],
      [11, 21],
    ]);
    expect(ends('upper', [], [])).toEqual([]);
  });
});
