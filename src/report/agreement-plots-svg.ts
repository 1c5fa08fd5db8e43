import { scaleLinear } from 'd3-scale';
import type { AgreementAnalysis, AgreementFigures, PairAgreement } from '../study/assess-agreement.ts';
import type { Icc } from '../study/intraclass-correlation.ts';
import { mean } from '../study/two-way-anova.ts';
import { type FigureUnit, figure, withUnit } from './agreement-words.ts';
import {
  axisRange,
  dot,
  levelBand,
  levelLine,
  plotFrame,
  STUDY_PLOT,
  studyPlot,
} from './study-plot-frame.ts';
import { px, strokePath, svgText } from './svg-path.ts';

/** Grades of a correlation by its interval: T. Koo, M. Li, J Chiropr Med 2016;15:155-163. */
const GRADES = [
  [0, 0.5, 'poor'],
  [0.5, 0.75, 'moderate'],
  [0.75, 0.9, 'good'],
  [0.9, 1, 'excellent'],
] as const;

const ROW_PX = 30;

/** The six correlations with their intervals, over the grades of Koo and Li. */
export function iccPlot(icc: readonly Icc[]): string {
  const low = Math.min(0, ...icc.map(({ value, interval }) => interval?.[0] ?? value ?? 0));
  const [left, right, top] = [74, STUDY_PLOT.widthPx - 20, 46];
  const bottom = top + ROW_PX * icc.length;
  // An interval far below zero says no more than one at -1.
  const x = scaleLinear()
    .domain([Math.max(low, -1), 1])
    .range([left, right])
    .clamp(true);
  const grades = GRADES.map(([from, to, word], k) => {
    const band = `<rect x="${px(x(from))}" y="${top}" width="${px(x(to) - x(from))}" height="${bottom - top}" class="st-band" opacity="${0.25 * (k + 1)}"/>`;
    return `${band}${svgText('', (x(from) + x(to)) / 2, k % 2 === 0 ? top - 14 : top - 3, word, 'middle')}`;
  });
  const ticks = x
    .ticks(6)
    .map(
      (value) =>
        `<path class="st-grid" d="${strokePath([x(value), top], [x(value), bottom])}"/>${svgText('', x(value), bottom + 16, value.toFixed(1), 'middle')}`,
    );
  const rows = icc.map(({ form, value, interval }, k) => {
    const y = top + ROW_PX * (k + 0.5);
    const whisker = interval
      ? `<path class="st-whisker" d="${strokePath([x(interval[0]), y], [x(interval[1]), y])}"/>`
      : '';
    // A correlation that is not defined has no place on the axis.
    const mark = value === null ? '' : `<circle class="st-mark" cx="${px(x(value))}" cy="${px(y)}" r="4"/>`;
    return `${svgText('', left - 8, y + 4, `ICC(${form})`, 'end')}${whisker}${mark}`;
  });
  const title = svgText(
    '',
    (left + right) / 2,
    bottom + 34,
    'intraclass correlation, 95 % interval',
    'middle',
  );
  return studyPlot(
    'Intraclass correlation',
    icc
      .map(({ form, value }) => `ICC(${form}) ${value === null ? 'not defined' : value.toFixed(3)}`)
      .join(', '),
    `${grades.join('')}${ticks.join('')}${rows.join('')}${title}`,
    bottom + 46,
  );
}

/** Differences of two occasions against their means, with bias and limits of agreement. */
export function limitsPlot(analysis: AgreementAnalysis, pair: PairAgreement, unit: FigureUnit): string {
  const both = analysis.values.map((row) => [row[pair.first]!, row[pair.second]!] as const);
  const names = [analysis.occasions[pair.first]!, analysis.occasions[pair.second]!];
  const sizes = both.map(([a, b]) => (a + b) / 2);
  const frame = plotFrame(
    { ...axisRange(sizes), title: withUnit('mean of both', unit) },
    {
      ...axisRange([...both.map(([a, b]) => a - b), pair.lower.low, pair.upper.high, 0], lastDigit(unit)),
      title: withUnit(`${names[0]} − ${names[1]}`, unit),
    },
  );
  const bands = [pair.bias, pair.lower, pair.upper].map(({ low, high }) => levelBand(frame, low, high));
  const lines = [
    levelLine(frame, pair.upper.value, 'st-limit', figure(pair.upper.value, unit)),
    levelLine(frame, pair.bias.value, 'st-line', figure(pair.bias.value, unit)),
    levelLine(frame, pair.lower.value, 'st-limit', figure(pair.lower.value, unit)),
  ];
  const dots = both.map(([a, b]) => dot(frame.x((a + b) / 2), frame.y(a - b)));
  return studyPlot(
    `Limits of agreement, ${names.join(' and ')}`,
    `bias ${figure(pair.bias.value, unit)}, limits ${figure(pair.lower.value, unit)} to ${figure(pair.upper.value, unit)}`,
    `${bands.join('')}${frame.axes}${dots.join('')}${lines.join('')}`,
  );
}

/** How far every measurement lies from the mean of its target, by occasion, within Dahlberg's error. */
export function dahlbergPlot(
  { values, occasions }: AgreementAnalysis,
  { error }: AgreementFigures,
  unit: FigureUnit,
): string {
  const offsets = values.map((row) => row.map((value) => value - mean(row)));
  const { value: size, low, high } = error.dahlberg;
  const frame = plotFrame(
    { low: -0.5, high: occasions.length - 0.5, title: 'occasion' },
    {
      ...axisRange([...offsets.flat(), size, -size], lastDigit(unit)),
      title: withUnit('difference from the target’s mean', unit),
    },
    false,
  );
  const columns = occasions.map((name, j) => {
    const label = svgText('', frame.x(j), frame.bottom + 16, shortened(name, occasions.length), 'middle');
    // Side by side in their order, so that equal ones do not hide each other.
    const dots = offsets.map((row, i) =>
      dot(frame.x(j + 0.5 * ((i + 0.5) / offsets.length - 0.5)), frame.y(row[j]!)),
    );
    const centre = frame.y(mean(offsets.map((row) => row[j]!)));
    const bar = `<path class="st-whisker" d="${strokePath([frame.x(j - 0.3), centre], [frame.x(j + 0.3), centre])}"/>`;
    return `${label}${dots.join('')}${bar}`;
  });
  return studyPlot(
    `Dahlberg’s error ${figure(size, unit)}`,
    `95 % interval ${figure(low, unit)} to ${figure(high, unit)}; bars are the means of the occasions`,
    `${levelBand(frame, -size, size)}${frame.axes}${columns.join('')}`,
  );
}

/** Scatter within every target against its size: whether one repeatability coefficient holds for all sizes. */
export function repeatabilityPlot(
  { values }: AgreementAnalysis,
  { error }: AgreementFigures,
  unit: FigureUnit,
): string {
  const points = values.map((row) => {
    const centre = mean(row);
    const sd = Math.sqrt(row.reduce((sum, x) => sum + (x - centre) ** 2, 0) / (row.length - 1));
    return [centre, sd] as const;
  });
  const pooled = error.dahlberg.value;
  const top = axisRange([...points.map(([, sd]) => sd), error.dahlberg.high], lastDigit(unit)).high;
  const frame = plotFrame(
    { ...axisRange(points.map(([centre]) => centre)), title: withUnit('mean of the target', unit) },
    { low: 0, high: top, title: withUnit('standard deviation within the target', unit) },
  );
  const dots = points.map(([centre, sd]) => dot(frame.x(centre), frame.y(sd)));
  return studyPlot(
    `Repeatability coefficient ${figure(error.repeatability.value, unit)}`,
    `1.96 √2 times the standard deviation within targets, ${figure(pooled, unit)}`,
    `${levelBand(frame, error.dahlberg.low, error.dahlberg.high)}${frame.axes}${dots.join('')}${levelLine(frame, pooled, 'st-line', figure(pooled, unit))}`,
  );
}

/** An axis of differences that are none does not go finer than the figures are told. */
function lastDigit({ digits }: FigureUnit): number {
  return 10 ** -digits;
}

/** Names that stand side by side must not run into each other. */
function shortened(name: string, columns: number): string {
  const most = Math.max(4, Math.floor(52 / columns));
  return name.length <= most ? name : `${name.slice(0, most - 1)}…`;
}
