import { expect, it } from 'vitest';
import { seededRandom } from '../../src/geometry/seeded-random.ts';

it('is uniform on [0, 1): moments, tenths and neighbours of 20,000 draws', () => {
  const random = seededRandom(1);
  const n = 20_000;
  const draws = Array.from({ length: n }, () => random());
  const mean = draws.reduce((a, b) => a + b, 0) / n;
  const variance = draws.reduce((a, b) => a + (b - mean) ** 2, 0) / n;
  // Standard errors: 0.2887 / sqrt(n) = 0.0020 for the mean; allow four.
  expect(Math.abs(mean - 0.5)).toBeLessThan(0.0082);
  expect(Math.abs(variance - 1 / 12)).toBeLessThan(0.003);
  const tenths = new Array<number>(10).fill(0);
  for (const draw of draws) tenths[Math.floor(draw * 10)]! += 1;
  const chi2 = tenths.reduce((sum, count) => sum + (count - n / 10) ** 2 / (n / 10), 0);
  // Chi-squared, 9 degrees of freedom: 27.9 is passed by one in a thousand.
  expect(chi2).toBeLessThan(27.9);
  let lag = 0;
  for (let i = 1; i < n; i += 1) lag += (draws[i]! - mean) * (draws[i - 1]! - mean);
  expect(Math.abs(lag / n / variance)).toBeLessThan(0.03);
  expect(Math.min(...draws)).toBeGreaterThanOrEqual(0);
  expect(Math.max(...draws)).toBeLessThan(1);
});

it('is the same for the same seed and differs for another', () => {
  const take = (seed: number): number[] => {
    const random = seededRandom(seed);
    return [random(), random(), random()];
  };
  expect(take(5)).toEqual(take(5));
  expect(take(5)).not.toEqual(take(6));
});
