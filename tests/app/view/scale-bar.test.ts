// @vitest-environment node
import { describe, expect, it } from 'vitest';
import { chooseScaleBar } from '../../../src/app/view/scale-bar.ts';

describe('chooseScaleBar', () => {
  it.each([
    [10, 10, 100, '10 mm'],
    [8, 10, 80, '10 mm'],
    [7, 20, 140, '20 mm'],
    [40, 2, 80, '2 mm'],
    [100, 1, 100, '1 mm'],
    [160, 0.5, 80, '0.5 mm'],
    [700, 0.2, 140, '0.2 mm'],
    [2000, 0.05, 100, '0.05 mm'],
  ])('at %d px per mm shows %d mm', (pxPerMm, lengthMm, lengthPx, label) => {
    const bar = chooseScaleBar(pxPerMm, 150);
    expect(bar.lengthMm).toBeCloseTo(lengthMm, 9);
    expect(bar.lengthPx).toBeCloseTo(lengthPx, 6);
    expect(bar.label).toBe(label);
  });

  it('always fits, and fills at least two fifths of its room', () => {
    for (let pxPerMm = 1; pxPerMm < 900; pxPerMm *= 1.07) {
      const { lengthPx } = chooseScaleBar(pxPerMm, 150);
      expect(lengthPx).toBeLessThanOrEqual(150 + 1e-9);
      expect(lengthPx).toBeGreaterThanOrEqual(60 - 1e-9);
    }
  });
});
