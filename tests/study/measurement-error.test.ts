import { describe, expect, it } from 'vitest';
import { measurementError } from '../../src/study/measurement-error.ts';
import { twoWayAnova } from '../../src/study/two-way-anova.ts';
import {
  LARGE_FIRST,
  LARGE_SECOND,
  MINI_FIRST,
  MINI_SECOND,
  paired,
  SHROUT_FLEISS,
} from './worked-examples.ts';

const errorOf = (table: readonly (readonly number[])[]) => measurementError(twoWayAnova(table));

describe('measurementError', () => {
  it('gives Dahlberg’s error of the two flow meters, with the interval R reckons', () => {
    const large = errorOf(paired(LARGE_FIRST, LARGE_SECOND));
    expect(large.dahlberg.value).toBeCloseTo(15.307, 3);
    expect(errorOf(paired(MINI_FIRST, MINI_SECOND)).dahlberg.value).toBeCloseTo(19.911, 3);
    // qchisq() of R 4.2.2 with 17 degrees of freedom.
    expect(large.dahlberg.low).toBeCloseTo(11.48593, 4);
    expect(large.dahlberg.high).toBeCloseTo(22.9469, 4);
  });

  it('gives the published repeatability coefficients', () => {
    // Lancet 1986 takes 2 sqrt(sum d^2 / n): 43.2 and 56.4 as printed, from rounded values; ours has 1.96 for the 2.
    const coefficient = (first: readonly number[], second: readonly number[]) =>
      (errorOf(paired(first, second)).repeatability.value * 2) / 1.96;
    expect(Math.abs(coefficient(LARGE_FIRST, LARGE_SECOND) - 43.2)).toBeLessThan(0.15);
    expect(Math.abs(coefficient(MINI_FIRST, MINI_SECOND) - 56.4)).toBeLessThan(0.15);
  });

  it('is sqrt(sum d^2 / 2n) for pairs, and s_d / sqrt 2 times the known factor where there is no bias', () => {
    const pairs: [number, number][] = [
      [1, 1.2],
      [2, 1.9],
      [3, 2.9],
      [4.1, 4.1],
    ];
    const squares = pairs.reduce((sum, [a, b]) => sum + (a - b) ** 2, 0);
    const found = errorOf(pairs);
    expect(found.dahlberg.value).toBeCloseTo(Math.sqrt(squares / 8), 12);
    // Bias zero: D = s_d sqrt((n - 1) / 2n), and the random part is s_d / sqrt 2.
    const sd = Math.sqrt(squares / 3);
    expect(found.dahlberg.value).toBeCloseTo(sd * Math.sqrt(3 / 8), 12);
    expect(found.random.value).toBeCloseTo(sd / Math.SQRT2, 12);
  });

  it('tells a systematic difference between occasions apart', () => {
    // pf() of R 4.2.2.
    expect(errorOf(SHROUT_FLEISS).occasionTest!.p).toBeCloseTo(9.454263e-7, 11);
    const shifted = errorOf([
      [1, 2],
      [2, 3],
      [4, 5],
    ]);
    expect(shifted.random.value).toBeCloseTo(0, 12);
    expect(shifted.dahlberg.value).toBeCloseTo(Math.SQRT1_2, 12);
  });
});
