import { describe, expect, it } from 'vitest';
import {
  COVERAGE_FACTOR,
  combineStandard,
  effectiveDegrees,
  expandedMm,
  normalDistribution,
  probabilityBelow,
  rectangularStandard,
} from '../../src/contacts/uncertainty.ts';

describe('worked examples of the guides', () => {
  it('JCGM 100:2008 (GUM) H.1, end-gauge: combined uncertainty and effective degrees of freedom', () => {
    // Contributions in nm and their degrees of freedom as in table H.1; values recalled, results recomputed.
    const terms = [
      { standard: 25, degrees: 18 },
      { standard: 9.7, degrees: 25.6 },
      { standard: 2.9, degrees: 50 },
      { standard: 16.6, degrees: 2 },
    ];
    const combined = combineStandard(terms.map((term) => term.standard));
    expect(combined).toBeCloseTo(31.67, 2);
    expect(Math.round(combined)).toBe(32);
    expect(effectiveDegrees(terms)).toBeCloseTo(16.76, 2);
    expect(Math.floor(effectiveDegrees(terms))).toBe(16);
    // t_99(16) = 2.92 from the guide's table G.2 gives the published 93 nm.
    expect(Math.round(2.92 * Math.round(combined))).toBe(93);
  });

  it('JCGM 106:2012, upper limit: breakdown voltage -5.47 V, u 0.05 V, limit -5.40 V: 92 %', () => {
    expect(probabilityBelow(-5.4, -5.47, 0.05)).toBeCloseTo(0.9192, 4);
  });

  it('JCGM 106:2012, lower limit: strength 509.7 kPa, u 8.6 kPa, limit 490 kPa: 99 %', () => {
    expect(1 - probabilityBelow(490, 509.7, 8.6)).toBeCloseTo(0.989, 4);
  });

  it('ILAC-G8:09/2019 table 1: risk at the acceptance limit for guard bands w = r U', () => {
    // U = 2u; at y = T - w the probability of lying beyond T is Phi(-2 r).
    const risk = (r: number) => 1 - probabilityBelow(0, -r * COVERAGE_FACTOR, 1);
    expect(risk(0)).toBeCloseTo(0.5, 12);
    expect(risk(0.83)).toBeCloseTo(0.0485, 4);
    expect(risk(1)).toBeCloseTo(0.02275, 5);
    expect(risk(1.5)).toBeCloseTo(0.00135, 5);
    expect(risk(3) / 9.9e-10).toBeCloseTo(1, 2);
  });
});

describe('combination', () => {
  it('is the closed form', () => {
    expect(combineStandard([3, 4, 12])).toBe(13);
    expect(combineStandard([])).toBe(0);
    expect(rectangularStandard(0.03)).toBeCloseTo(0.0173205, 7);
    expect(effectiveDegrees([{ standard: 1, degrees: Number.POSITIVE_INFINITY }])).toBe(
      Number.POSITIVE_INFINITY,
    );
    expect(effectiveDegrees([{ standard: 2, degrees: 7 }])).toBeCloseTo(7, 12);
    const term = { name: 'fit', type: 'A', standardMm: 0.01, source: 'x' } as const;
    expect(expandedMm([term, { ...term, standardMm: 0.0075 }])).toBeCloseTo(0.025, 12);
  });

  it('normal distribution: table values of Abramowitz and Stegun, table 26.1, and symmetry', () => {
    expect(normalDistribution(0)).toBe(0.5);
    expect(normalDistribution(1)).toBeCloseTo(0.8413447460685, 12);
    expect(normalDistribution(2)).toBeCloseTo(0.9772498680518, 12);
    expect(normalDistribution(3.98)).toBeCloseTo(0.9999655, 7);
    expect(normalDistribution(5) - 1).toBeCloseTo(-2.866516e-7, 12);
    for (const x of [0.3, 1.7, 3.999, 4.001, 6]) {
      expect(normalDistribution(x) + normalDistribution(-x)).toBeCloseTo(1, 14);
    }
    expect(normalDistribution(4.0000001)).toBeCloseTo(normalDistribution(3.9999999), 9);
  });
});
