import { describe, expect, it } from 'vitest';
import { intraclassCorrelations } from '../../src/study/intraclass-correlation.ts';
import { twoWayAnova } from '../../src/study/two-way-anova.ts';
import { SHROUT_FLEISS } from './worked-examples.ts';

describe('intraclassCorrelations', () => {
  it('gives the six published values, with the intervals R reckons', () => {
    const found = intraclassCorrelations(twoWayAnova(SHROUT_FLEISS))!;
    // Values: table 4 of the paper (0.17, 0.29, 0.71, 0.44, 0.62, 0.91). Intervals and P: qf() and pf() of R 4.2.2.
    const expected = [
      ['1,1', 0.1657, -0.1329323, 0.7225601, 0.1647688],
      ['2,1', 0.2898, 0.01878651, 0.7610844, 0.0001345665],
      ['3,1', 0.7148, 0.3424648, 0.9458583, 0.0001345665],
      ['1,k', 0.4428, -0.8844422, 0.9124154, 0.1647688],
      ['2,k', 0.6201, 0.07113682, 0.927232, 0.0001345665],
      ['3,k', 0.9093, 0.6756747, 0.9858917, 0.0001345665],
    ] as const;
    expect(found.map(({ form }) => form)).toEqual(expected.map(([form]) => form));
    for (const [i, [, value, low, high, p]] of expected.entries()) {
      expect(found[i]!.value).toBeCloseTo(value, 4);
      expect(found[i]!.interval![0]).toBeCloseTo(low, 6);
      expect(found[i]!.interval![1]).toBeCloseTo(high, 6);
      expect(found[i]!.test!.p).toBeCloseTo(p, 7);
    }
  });

  it('does not depend on the unit or on the order of targets and occasions', () => {
    const values = (table: readonly (readonly number[])[]) =>
      intraclassCorrelations(twoWayAnova(table))!.flatMap(({ value, interval }) => [value, ...interval!]);
    const base = values(SHROUT_FLEISS);
    const changed = [...SHROUT_FLEISS].reverse().map((row) => [...row].reverse().map((x) => 3 * x + 7));
    for (const [i, value] of values(changed).entries()) expect(value).toBeCloseTo(base[i]!, 9);
  });

  it('is 1 without an interval where repetitions are equal, and undefined where targets are', () => {
    const equal = intraclassCorrelations(
      twoWayAnova([
        [1, 1],
        [2, 2],
        [4, 4],
      ]),
    )!;
    for (const { value, interval, test } of equal) expect([value, interval, test]).toEqual([1, null, null]);
    const same = [
      [1, 2],
      [1, 2],
      [1, 2],
    ];
    expect(intraclassCorrelations(twoWayAnova(same))).toBeNull();
  });
});
