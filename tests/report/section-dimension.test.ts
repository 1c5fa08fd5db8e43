import { describe, expect, it } from 'vitest';
import { dimensionOf } from '../../src/report/section-dimension.ts';

const FRAME = { x: 0, y: 0, widthPx: 200, heightPx: 200 };
const numbers = (path: string) => path.match(/-?[\d.]+/g)!.map(Number);

describe('dimensionOf', () => {
  it('stands above the two points, its label above the line', () => {
    const { witness, arrows, label } = dimensionOf([60, 120], [140, 120], FRAME, '0.60 mm');
    const heights = numbers(arrows).filter((_, k) => k % 2 === 1);
    expect(Math.max(...heights)).toBeLessThan(120);
    expect(label.y).toBeLessThan(Math.min(...heights));
    expect(label).toMatchObject({ text: '0.60 mm', x: 100, anchor: 'middle' });
    // Witness lines leave both points at right angles to the distance: their x does not change.
    expect(numbers(witness).filter((_, k) => k % 2 === 0)).toEqual([60, 60, 140, 140]);
  });

  it('points the arrows inwards from outside when there is no room between', () => {
    const xs = (path: string) => numbers(path).filter((_, k) => k % 2 === 0);
    const wide = xs(dimensionOf([60, 120], [140, 120], FRAME, 'x').arrows);
    const narrow = xs(dimensionOf([95, 120], [105, 120], FRAME, 'x').arrows);
    expect([Math.min(...wide), Math.max(...wide)]).toEqual([60, 140]);
    expect(Math.min(...narrow)).toBeLessThan(95);
    expect(Math.max(...narrow)).toBeGreaterThan(105);
  });

  it('stays upright when A lies to the right of B, as in an overlap', () => {
    const { label } = dimensionOf([105, 120], [95, 124], FRAME, 'x');
    expect(label.y).toBeLessThan(120);
  });

  it('keeps the label in the frame, and takes two points in one place', () => {
    expect(dimensionOf([60, 10], [140, 10], FRAME, 'x').label.y).toBeGreaterThanOrEqual(20);
    expect(numbers(dimensionOf([50, 50], [50, 50], FRAME, 'x').witness).every(Number.isFinite)).toBe(true);
  });
});
