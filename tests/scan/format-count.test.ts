import { describe, expect, it } from 'vitest';
import { formatCount } from '../../src/scan/format-count.ts';

describe('formatCount', () => {
  it.each([
    [0, '0'],
    [999, '999'],
    [1000, '1,000'],
    [279_984, '279,984'],
    [4_294_967_295, '4,294,967,295'],
  ])('%d is %s', (count, text) => {
    expect(formatCount(count)).toBe(text);
  });

  it('groups as the formatter of the engine does, at every number of digits', () => {
    for (let digits = 1; digits <= 15; digits++) {
      for (const count of [10 ** digits - 1, 10 ** digits, 4 * 10 ** digits + 57]) {
        expect(formatCount(count)).toBe(count.toLocaleString('en-GB'));
      }
    }
  });
});
