import { describe, expect, it } from 'vitest';
import { repeatedErrors } from '../../src/contacts/repeated-errors.ts';

describe('repeatedErrors', () => {
  // Figures of the two worked samples: NumPy and scipy.stats (sem of the groups' means; mean squares whose F is that of
  // f_oneway), variance and Satterthwaite's degrees of freedom by the textbook's formula from those.
  it('takes groups of one size as the one-way analysis of variance does', () => {
    const found = repeatedErrors([
      [1, 2, 3],
      [4, 5, 9],
      [2, 2, 5],
    ]);
    expect(found.spaces).toBe(3);
    expect(found.mean).toBeCloseTo(11 / 3, 12);
    expect(found.meanStandard).toBeCloseTo(1.2018504251546633, 12);
    expect(found.variance).toBeCloseTo(6.777777777777778, 12);
    expect(found.varianceDegrees).toBeCloseTo(4.423617990885676, 10);
  });

  it('takes groups of unequal size', () => {
    const found = repeatedErrors([[1, 2, 3, 4], [6], [2, 5]]);
    expect(found.mean).toBeCloseTo(4, 12);
    expect(found.meanStandard).toBeCloseTo(1.0408329997330663, 12);
    expect(found.variance).toBeCloseTo(3.669642857142857, 12);
    expect(found.varianceDegrees).toBeCloseTo(3.9225343527403815, 10);
  });

  it('is the plain mean and variance where every space was measured once', () => {
    const found = repeatedErrors([[1], [2], [4], [8]]);
    // Mean 3.75, variance (2.75^2 + 1.75^2 + 0.25^2 + 4.25^2) / 3 = 9.58333.
    expect(found).toEqual({
      spaces: 4,
      mean: 3.75,
      meanStandard: expect.closeTo(Math.sqrt(9.583333333333334 / 4), 12),
      variance: expect.closeTo(9.583333333333334, 12),
      varianceDegrees: 3,
    });
  });

  it('gives no scatter where there is none', () => {
    const found = repeatedErrors([[2, 2], [2]]);
    expect([found.mean, found.meanStandard, found.variance, found.varianceDegrees]).toEqual([2, 0, 0, 1]);
  });
});
