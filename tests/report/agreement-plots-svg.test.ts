import { expect, it } from 'vitest';
import { dahlbergPlot, limitsPlot, repeatabilityPlot } from '../../src/report/agreement-plots-svg.ts';
import { figureUnit } from '../../src/report/agreement-words.ts';
import { assessAgreement } from '../../src/study/assess-agreement.ts';
import { repeatedMeasurements } from '../../src/study/repeated-measurements.ts';

/** Numbers at the axes of the three plots of differences, of contacts that operator B measures `off` larger by turns. */
function ticks(off: number): number[] {
  const rows = [0.12, 0.31, 0.22, 0.41].flatMap((gap, i) => [
    `m,A,${i + 11},${gap}`,
    `m,B,${i + 11},${gap + off * (i % 2)}`,
  ]);
  const text = `id,operator,tooth,gap_mm\n${rows.join('\n')}\n`;
  const data = repeatedMeasurements([{ name: 't.csv', text }], { value: null, target: null, by: null });
  const [analysis] = assessAgreement(data);
  const figures = analysis!.figures!;
  const unit = figureUnit(data.unit, [analysis!]);
  const plots = [
    limitsPlot(analysis!, figures.pairs[0]!, unit),
    dahlbergPlot(analysis!, figures, unit),
    repeatabilityPlot(analysis!, figures, unit),
  ];
  return plots.flatMap((svg) =>
    [...svg.matchAll(/text-anchor="end"[^>]*>(−?[\d.]+)</g)].map(([, told]) =>
      Number(told!.replace('−', '-')),
    ),
  );
}

it('axes of differences that are none end at the last digit that is told', () => {
  const sizes = ticks(0).map(Math.abs);
  expect(sizes.length).toBeGreaterThan(6);
  expect(sizes.every(Number.isFinite)).toBe(true);
  expect(Math.max(...sizes)).toBeCloseTo(0.001, 12);
});

it('axes of differences reach over all of them', () => {
  expect(Math.max(...ticks(0.1))).toBeGreaterThan(0.05);
});
