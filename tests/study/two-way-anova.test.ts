import { describe, expect, it } from 'vitest';
import { twoWayAnova } from '../../src/study/two-way-anova.ts';
import { seededRandom } from '../helpers/random.ts';
import { SHROUT_FLEISS } from './worked-examples.ts';

describe('twoWayAnova', () => {
  it('gives the published mean squares of Shrout and Fleiss', () => {
    const found = twoWayAnova(SHROUT_FLEISS);
    // Printed: 11.24, 6.26, 32.49, 1.02; more digits from aov() of R 4.2.2.
    expect(found.between).toBeCloseTo(11.241667, 6);
    expect(found.within).toBeCloseTo(6.263889, 6);
    expect(found.occasion).toBeCloseTo(32.486111, 6);
    expect(found.residual).toBeCloseTo(1.019444, 6);
  });

  it('splits the whole sum of squares, wherever the numbers lie', () => {
    const random = seededRandom(5);
    for (const shift of [0, 1e6]) {
      const table = Array.from({ length: 7 }, () => Array.from({ length: 3 }, () => shift + random()));
      const { between, within, occasion, residual } = twoWayAnova(table);
      const all = table.flat();
      const grand = all.reduce((sum, x) => sum + x, 0) / all.length;
      const total = all.reduce((sum, x) => sum + (x - grand) ** 2, 0);
      expect(6 * between + 14 * within).toBeCloseTo(total, 6);
      expect(2 * occasion + 12 * residual).toBeCloseTo(14 * within, 6);
    }
  });
});
