import { describe, expect, it } from 'vitest';
import {
  chiSquareQuantile,
  fisherQuantile,
  fisherTail,
  studentFactor,
} from '../../src/contacts/distributions.ts';

/** Tables of every handbook of statistics, e.g. M. Abramowitz, I. Stegun, tables 26.8 and 26.10 (from memory). */
describe('studentFactor', () => {
  it.each([
    [0.95, 1, 12.706],
    [0.95, 4, 2.776],
    [0.95, 10, 2.228],
    [0.95, 30, 2.042],
    [0.9, 5, 2.015],
    // GUM H.1: t99(16) = 2.92.
    [0.99, 16, 2.921],
  ])('is the table’s value at %f and %i degrees', (level, degrees, table) => {
    expect(studentFactor(level, degrees)).toBeCloseTo(table, 3);
  });

  it('goes to the normal factor for many degrees of freedom', () => {
    expect(studentFactor(0.95, 1e6)).toBeCloseTo(1.95997, 4);
  });
});

describe('chiSquareQuantile', () => {
  it.each([
    [0.95, 1, 3.841],
    [0.05, 10, 3.94],
    [0.95, 10, 18.307],
    [0.025, 4, 0.484],
    [0.975, 4, 11.143],
    [0.975, 30, 46.979],
  ])('is the table’s value at %f and %i degrees', (p, degrees, table) => {
    expect(chiSquareQuantile(p, degrees)).toBeCloseTo(table, 3);
  });

  it('is minus two ln(1 - p) for two degrees of freedom', () => {
    for (const p of [0.01, 0.3, 0.9, 0.999]) {
      expect(chiSquareQuantile(p, 2)).toBeCloseTo(-2 * Math.log(1 - p), 9);
    }
  });
});

describe('fisherQuantile and fisherTail', () => {
  // qf() and pf() of R 4.2.2; 4.9646 and 3.3820 also stand in every table of F.
  it.each([
    [0.975, 5, 18, 3.381968],
    [0.975, 15, 5, 6.427728],
    [0.95, 1, 10, 4.964603],
    [0.025, 3, 7, 0.0683789],
    [0.975, 5, 4.786, 7.497123],
  ])('is R’s value at %f with %f and %f degrees', (p, d1, d2, value) => {
    expect(fisherQuantile(p, d1, d2)).toBeCloseTo(value, 5);
    expect(fisherTail(fisherQuantile(p, d1, d2), d1, d2)).toBeCloseTo(1 - p, 10);
  });

  it('takes degrees that are not whole, and is 1 at zero', () => {
    expect(fisherTail(3.2, 2.5, 11.3)).toBeCloseTo(0.07130628, 7);
    expect(fisherTail(0, 3, 4)).toBe(1);
  });
});
