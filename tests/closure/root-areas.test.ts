import { expect, it } from 'vitest';
import { rootAreaMm2 } from '../../src/closure/root-areas.ts';
import { archOrder } from '../../src/teeth/notation.ts';

it('28 teeth add up to 7,616 mm2, within 2 % of the published 75 cm2 (Hujoel 2001)', () => {
  const total = [...archOrder('upper'), ...archOrder('lower')]
    .filter((tooth) => tooth % 10 !== 8)
    .reduce((sum, tooth) => sum + rootAreaMm2(tooth), 0);
  expect(total).toBe(7616);
  expect(Math.abs(total / 7500 - 1)).toBeLessThan(0.02);
});

it('anterior three against premolar and molar of one side: reciprocal anchorage (facts 7.5)', () => {
  const sum = (teeth: readonly number[]): number => teeth.reduce((s, tooth) => s + rootAreaMm2(tooth), 0);
  expect(sum([11, 12, 13])).toBe(656);
  expect(sum([15, 16])).toBe(653);
  expect(sum([31, 32, 33])).toBe(590);
  expect(sum([35, 36])).toBe(638);
});

it('third molars count like second molars', () => {
  expect(rootAreaMm2(18)).toBe(rootAreaMm2(17));
  expect(rootAreaMm2(38)).toBe(rootAreaMm2(37));
});
