import { expect, it } from 'vitest';
import { plotFrame } from '../../src/report/study-plot-frame.ts';

/** Where the figures beside the axis of ordinates begin, px, in a font of 6.9 px a digit, and what they say. */
function ordinates(axes: string) {
  return [...axes.matchAll(/<text[^>]* x="([\d.]+)"[^>]*text-anchor="end"[^>]*>([^<]+)</g)].map(
    ([, x, text]) => ({ text: text!, begins: Number(x) - 6.9 * text!.length }),
  );
}

it.each([
  { low: -0.0064, high: 0.0064, longest: '−0.006' },
  { low: -1.2, high: 1.2, longest: '−1.0' },
  { low: 0, high: 120000, longest: '120,000' },
])('leaves the figures of $low to $high clear of the title beside them', ({ low, high, longest }) => {
  const frame = plotFrame({ low: 0, high: 1, title: 'occasion' }, { low, high, title: 'difference, mm' });
  const figures = ordinates(frame.axes);
  expect(figures.map(({ text }) => text)).toContain(longest);
  // The title stands on its side over 13 px, with some 3 px below its line.
  for (const { text, begins } of figures) expect(begins, text).toBeGreaterThan(17);
  expect(frame.x(0)).toBe(frame.left);
});
