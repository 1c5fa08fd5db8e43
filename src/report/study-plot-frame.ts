import { scaleLinear } from 'd3-scale';
import { escapeText } from './escape-text.ts';
import { px, strokePath, svgText } from './svg-path.ts';

/** The frame of the plots of a study: two linear axes with ticks and titles. Pixels, y downwards. */

interface Axis {
  readonly low: number;
  readonly high: number;
  readonly title: string;
}

export interface PlotFrame {
  readonly x: (value: number) => number;
  readonly y: (value: number) => number;
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
  /** Grid, ticks and titles. */
  readonly axes: string;
}

export const STUDY_PLOT = { widthPx: 420, heightPx: 300 } as const;
const MARGIN = { left: 56, right: 14, top: 30, bottom: 44 } as const;
/** Left of the figures of the axis of ordinates: its title; and how wide a figure is in fonts that run wide. */
const Y_TITLE_PX = 26;
const DIGIT_PX = 7;

/** The look of the plots; the record of a study and the single files carry it. */
export const STUDY_PLOT_STYLE = `
.st{background:#fffefb;font-family:system-ui,"Segoe UI",Roboto,"Helvetica Neue","Liberation Sans",sans-serif}
.st text{font-size:11px;fill:#59636a}.st text.st-title{font-size:12.5px;font-weight:650;fill:#1d2327}
.st text.st-note{fill:#0d5c63;font-weight:600;paint-order:stroke;stroke:#fffefb;stroke-width:3px}
.st-grid{stroke:#dcd7ca;stroke-width:1;fill:none}.st-zero{stroke:#59636a;stroke-width:1;fill:none}
.st-line{stroke:#0d5c63;stroke-width:1.6;fill:none}.st-limit{stroke:#0d5c63;stroke-width:1.4;stroke-dasharray:6 4;fill:none}
.st-band{fill:#0d5c63;fill-opacity:.1}.st-dot{fill:#1d2327;fill-opacity:.55}.st-mark{fill:#0d5c63}
.st-whisker{stroke:#0d5c63;stroke-width:1.6;fill:none}
`;

/** A whole picture. @param title - what it shows, also for those who listen */
export function studyPlot(
  title: string,
  description: string,
  content: string,
  heightPx: number = STUDY_PLOT.heightPx,
): string {
  return `<svg class="st" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${STUDY_PLOT.widthPx} ${heightPx}" role="img"><title>${escapeText(`${title}: ${description}`)}</title>${svgText('st-title', 10, 18, title, 'start')}${content}</svg>`;
}

/** A picture as a file of its own, with its look inside. */
export function studyPlotFile(svg: string): string {
  return `${svg.replace('</title>', `</title><style>${STUDY_PLOT_STYLE.trim()}</style>`)}\n`;
}

export function plotFrame(xAxis: Axis, yAxis: Axis, xTicks = true): PlotFrame {
  const [top, bottom] = [MARGIN.top, STUDY_PLOT.heightPx - MARGIN.bottom];
  const y = scaleLinear().domain([yAxis.low, yAxis.high]).range([bottom, top]);
  const yText = y.tickFormat(6);
  const digits = Math.max(...y.ticks(6).map((value) => yText(value).length));
  const left = Math.max(MARGIN.left, Y_TITLE_PX + DIGIT_PX * digits);
  const right = STUDY_PLOT.widthPx - MARGIN.right;
  const x = scaleLinear().domain([xAxis.low, xAxis.high]).range([left, right]);
  const xText = x.tickFormat(6);
  const rows = y
    .ticks(6)
    .map(
      (value) =>
        `<path class="${value === 0 ? 'st-zero' : 'st-grid'}" d="${strokePath([left, y(value)], [right, y(value)])}"/>${svgText('', left - 6, y(value) + 3.5, yText(value), 'end')}`,
    );
  const columns = xTicks
    ? x
        .ticks(6)
        .map(
          (value) =>
            `<path class="st-grid" d="${strokePath([x(value), bottom], [x(value), bottom + 4])}"/>${svgText('', x(value), bottom + 16, xText(value), 'middle')}`,
        )
    : [];
  const middle = (top + bottom) / 2;
  return {
    x: (value) => x(value),
    y: (value) => y(value),
    left,
    right,
    top,
    bottom,
    axes: `${rows.join('')}${columns.join('')}${svgText('', (left + right) / 2, STUDY_PLOT.heightPx - 8, xAxis.title, 'middle')}<text transform="translate(13 ${px(middle)}) rotate(-90)" text-anchor="middle">${escapeText(yAxis.title)}</text>`,
  };
}

/** Room for all values and a little more; never empty. */
export function axisRange(
  values: readonly number[],
  least = 0,
): { readonly low: number; readonly high: number } {
  const [low, high] = [Math.min(...values), Math.max(...values)];
  const room = Math.max(0.08 * (high - low), least, 1e-9);
  return { low: low - room, high: high + room };
}

export function dot(x: number, y: number): string {
  return `<circle class="st-dot" cx="${px(x)}" cy="${px(y)}" r="2.6"/>`;
}

/** A line across the frame with its name at the right end. */
export function levelLine(
  frame: PlotFrame,
  value: number,
  cls: 'st-line' | 'st-limit',
  label: string,
): string {
  const y = frame.y(value);
  return `<path class="${cls}" d="${strokePath([frame.left, y], [frame.right, y])}"/>${svgText('st-note', frame.right - 3, y - 4, label, 'end')}`;
}

/** A strip across the frame. */
export function levelBand(frame: PlotFrame, low: number, high: number): string {
  const top = Math.max(frame.y(high), frame.top);
  const bottom = Math.min(frame.y(low), frame.bottom);
  return `<rect class="st-band" x="${px(frame.left)}" y="${px(top)}" width="${px(frame.right - frame.left)}" height="${px(Math.max(0, bottom - top))}"/>`;
}
