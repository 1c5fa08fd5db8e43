import { describe, expect, it } from 'vitest';
import { intraclassCorrelations } from '../../src/study/intraclass-correlation.ts';
import { measurementError } from '../../src/study/measurement-error.ts';
import { twoWayAnova } from '../../src/study/two-way-anova.ts';
import { seededRandom } from '../helpers/random.ts';
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

  it('takes scatter of rounding for none', () => {
    // Three equal occasions: means of 0.1, 0.3, 0.7 are off by 1e-17, which is no scatter.
    const equal = [0.1, 0.3, 0.7, 1.1].map((x) => [x, x, x]);
    for (const { value, interval, lack, test } of intraclassCorrelations(twoWayAnova(equal))!) {
      expect([value, interval, lack, test]).toEqual([1, null, 'no-scatter', null]);
    }
    expect(measurementError(twoWayAnova(equal)).occasionTest).toBeNull();
  });

  it('has intervals in order round the value, or says why there is none', () => {
    const random = seededRandom(3);
    const lacks = new Map<string | null, number>();
    for (let i = 0; i < 900; i += 1) {
      const k = 2 + (i % 3);
      // Noise only, or with targets and occasions that differ.
      const [spread, shift] = [(i % 4) / 2, (i % 5) / 3];
      const table = Array.from({ length: 4 + (i % 8) }, () => {
        const own = spread * random();
        return Array.from({ length: k }, (_, j) => own + shift * j + random());
      });
      for (const { form, value, interval, lack } of intraclassCorrelations(twoWayAnova(table))!) {
        lacks.set(lack, (lacks.get(lack) ?? 0) + 1);
        expect(lack === null).toBe(value !== null && interval !== null);
        if (interval === null || value === null) continue;
        expect(interval[0]).toBeLessThanOrEqual(value);
        expect(value).toBeLessThanOrEqual(interval[1]);
        expect(interval[1]).toBeLessThanOrEqual(1);
        // Algebra: BMS / WMS and the like cannot be negative.
        if (form.endsWith('1')) expect(interval[0]).toBeGreaterThanOrEqual(-1 / (k - 1));
      }
    }
    expect(lacks.get('out-of-range')).toBeGreaterThan(0);
    expect(lacks.get(null)).toBeGreaterThan(5000);
  });

  it('defines no correlation of means where the step from one measurement has no positive base', () => {
    // Mean squares chosen: BMS 0.01, JMS 0.1, EMS 1, n = 5, k = 2: 1 + rho = 2 (BMS + (JMS - EMS) / n) / ... < 0.
    const anova = { targets: 5, occasions: 2, between: 0.01, within: 0.82, occasion: 0.1, residual: 1 };
    const mean = intraclassCorrelations(anova)!.find(({ form }) => form === '2,k')!;
    expect([mean.value, mean.interval, mean.lack]).toEqual([null, null, 'step-up']);
  });
});
