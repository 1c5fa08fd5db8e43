import fc from 'fast-check';
import { expect, test } from 'vitest';
import { median } from '../../src/geometry/median.ts';

test('the median of one, of an odd and of an even number of values', () => {
  expect(median(new Float32Array([7]))).toBe(7);
  expect(median(new Float32Array([3, 1, 2]))).toBe(2);
  expect(median(new Float32Array([4, 1, 3, 2]))).toBe(2.5);
  expect(median(new Float64Array(1000).fill(5))).toBe(5);
});

test('agrees with sorting', () => {
  fc.assert(
    fc.property(fc.array(fc.integer({ min: -20, max: 20 }), { minLength: 1, maxLength: 60 }), (values) => {
      const sorted = [...values].sort((a, b) => a - b);
      const half = values.length >> 1;
      const expected = values.length % 2 === 1 ? sorted[half]! : (sorted[half - 1]! + sorted[half]!) / 2;
      expect(median(new Float64Array(values))).toBe(expected);
    }),
    { seed: 12, numRuns: 500 },
  );
});
