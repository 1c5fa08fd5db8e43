import { describe, expect, it } from 'vitest';
import { growthPlot } from './growth-plot.ts';
import type { SizeResult } from './stages.ts';

/** Stages that take a n^b ms. */
function sizeOf(triangles: number, stages: Readonly<Record<string, number>>): SizeResult {
  const timings = Object.entries(stages).map(([name, ms]) => ({
    name,
    firstMs: ms,
    medianMs: ms,
    leastMs: ms,
    mostMs: ms,
    cpuMs: ms,
    runs: 1,
  }));
  return { triangles, stlBytes: 50 * triangles, timings, peakMb: 1 };
}

/** Places of the circles of one colour. */
function dots(svg: string, colour: string): [number, number][] {
  const circles = svg.matchAll(
    new RegExp(`<circle cx="([\\d.]+)" cy="([\\d.]+)" r="2.5" fill="${colour}"/>`, 'g'),
  );
  return [...circles].map(([, x, y]) => [Number(x), Number(y)]);
}

describe('growthPlot', () => {
  const svg = growthPlot([
    sizeOf(1e5, { linear: 10, square: 1, 'one size': 5 }),
    sizeOf(1e6, { linear: 100, square: 100 }),
  ]);

  it('draws time over size with both logarithmic: n and n squared rise as one to two', () => {
    const [linear, square] = [dots(svg, '#1f5fa8'), dots(svg, '#b3261e')];
    const rise = (places: readonly [number, number][]) => places[0]![1] - places[1]![1];
    expect(rise(square!) / rise(linear!)).toBeCloseTo(2, 1);
    expect(linear![1]).toEqual(square![1]);
  });

  it('leaves out what was timed at one size only: it has no growth', () => {
    expect(svg).toContain('>linear<');
    expect(svg).not.toContain('>one size<');
  });
});
