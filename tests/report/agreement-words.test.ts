import { describe, expect, it } from 'vitest';
import { figure, figureUnit, probability, ratio, withUnit } from '../../src/report/agreement-words.ts';
import { assessAgreement } from '../../src/study/assess-agreement.ts';
import { repeatedMeasurements } from '../../src/study/repeated-measurements.ts';

/** Two occasions of four targets, of which the second lies `d` above the first at every other one and below it else. */
function assess(d: number) {
  const values = [1, 3, 7, 11];
  const rows = (who: string, shift: (k: number) => number) =>
    values.map((value, k) => `${k},${who},${value + shift(k)}`);
  const text = ['id,operator,gap_mm', ...rows('A', () => 0), ...rows('B', (k) => (k % 2 ? d : -d))].join(
    '\n',
  );
  return assessAgreement(
    repeatedMeasurements([{ name: 't.csv', text }], { value: null, target: null, by: null }),
  );
}

const MM = { name: 'mm', digits: 3 };
const NO_UNIT = { name: '', digits: 1 };

describe('figures of a study', () => {
  it.each([
    [0.03642, MM, '0.036 mm'],
    [-0.00512, MM, '−0.005 mm'],
    [-0.00001, MM, '0.000 mm'],
    [110.678, NO_UNIT, '110.7'],
  ])('%f %o is %s', (value, unit, text) => {
    expect(figure(value, unit)).toBe(text);
  });

  it('head a column with the unit, if there is one', () => {
    expect([withUnit('bias', MM), withUnit('bias', NO_UNIT)]).toEqual(['bias, mm', 'bias']);
  });

  it('never says that a probability is nothing', () => {
    expect([probability(1e-9), probability(0.0314), ratio(0.71484)]).toEqual(['< 0.001', '0.031', '0.715']);
  });

  it.each([
    // Dahlberg’s error is d over the root of two.
    [0.0424, 'mm', 3],
    [0.00424, 'mm', 4],
    [4.24, 'um', 1],
    [424, 'um', 0],
  ])('differences of %f %s are told to %i decimals, all of them', (d, name, digits) => {
    expect(figureUnit(name, assess(d))).toEqual({ name, digits });
  });

  it('have three where nothing differs', () => {
    expect(figureUnit('mm', assess(0)).digits).toBe(3);
    expect(figureUnit('mm', []).digits).toBe(3);
  });
});
