import { describe, expect, it } from 'vitest';
import { figure, probability, withUnit } from '../../src/report/agreement-words.ts';

describe('figures of a study', () => {
  it.each([
    [0.03642, 'mm', '0.036 mm'],
    [-0.00512, 'mm', '−0.0051 mm'],
    [-0.00001, 'mm', '0.0000 mm'],
    [0.71484, '', '0.715'],
    [110.678, '', '110.7'],
  ])('%f %s is %s', (value, unit, text) => {
    expect(figure(value, unit)).toBe(text);
  });

  it('head a column with the unit, if there is one', () => {
    expect([withUnit('bias', 'mm'), withUnit('bias', '')]).toEqual(['bias, mm', 'bias']);
  });

  it('never says that a probability is nothing', () => {
    expect([probability(1e-9), probability(0.0314)]).toEqual(['< 0.001', '0.031']);
  });
});
