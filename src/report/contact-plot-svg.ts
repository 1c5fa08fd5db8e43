import { scaleLinear } from 'd3-scale';
import type { Analysis, Contact, ContactStatus } from '../contacts/types.ts';
import { formatTooth, toothSortIndex } from '../teeth/notation.ts';
import type { NumberingScheme, ToothNumber } from '../teeth/types.ts';
import { describeContact, statusWords } from './contact-words.ts';
import { escapeText } from './escape-text.ts';
import { formatMm } from './format-mm.ts';
import { offScaleSymbol, statusSymbol } from './status-glyph.ts';
import { px, svgText } from './svg-path.ts';

/**
 * The contact plot: every contact of the arch from the patient's right to left on one millimetre axis. Below the
 * axis stands the row of teeth; a contact stands on the line between its two teeth. This file works out where
 * everything goes; it draws nothing, so that page and report draw the same picture.
 */

export interface PlotSize {
  readonly widthPx: number;
  readonly heightPx: number;
}

interface PlotTick {
  readonly y: number;
  readonly label: string;
  readonly isZero: boolean;
}

/** A tooth in the row under the axis; `missing` ones are drawn dashed. */
interface PlotTooth {
  readonly tooth: ToothNumber;
  readonly label: string;
  readonly x: number;
  readonly y: number;
  readonly widthPx: number;
  readonly heightPx: number;
  readonly missing: boolean;
}

/** Everything drawn for one contact. Pixels of the picture, y downwards. */
export interface PlotMark {
  /** Index in `analysis.contacts`. */
  readonly index: number;
  readonly toothA: ToothNumber;
  readonly toothB: ToothNumber;
  readonly status: ContactStatus;
  readonly x: number;
  /** The column that answers to the pointer. */
  readonly column: {
    readonly x: number;
    readonly y: number;
    readonly widthPx: number;
    readonly heightPx: number;
  };
  /** The mark's shape as path data in picture coordinates; `filled` says whether it is solid. Null: no mark. */
  readonly symbol: { readonly path: string; readonly y: number; readonly filled: boolean } | null;
  /** The 95 % interval, cut at the frame; `cutTop`: it goes on beyond the top. */
  readonly whisker: { readonly y1: number; readonly y2: number; readonly cutTop: boolean } | null;
  /** What could hide: from zero up to the upper bound. */
  readonly bound: {
    readonly x: number;
    readonly y: number;
    readonly widthPx: number;
    readonly heightPx: number;
    /** The slanted strokes of the band, path data. */
    readonly hatch: string;
  } | null;
  /** The value lies above the axis; an arrow is drawn instead of the dot. */
  readonly offScale: boolean;
  /** `0.25`, `≤ 0.27` or null. */
  readonly valueLabel: { readonly text: string; readonly x: number; readonly y: number } | null;
  /** The status in words, under the axis. */
  readonly statusLabel: { readonly text: string; readonly x: number; readonly y: number };
  /** The whole contact as a sentence, for titles and for those who listen. */
  readonly title: string;
}

export interface PlotModel extends PlotSize {
  readonly frame: {
    readonly left: number;
    readonly right: number;
    readonly top: number;
    readonly bottom: number;
  };
  readonly ticks: readonly PlotTick[];
  readonly axisTitle: { readonly text: string; readonly x: number; readonly y: number };
  readonly limit: {
    readonly y: number;
    readonly label: string;
    readonly labelX: number;
    readonly labelY: number;
    readonly anchor: 'start' | 'end';
  };
  /** Between the two central incisors; null when the midline is not between two clicked teeth. */
  readonly midlineX: number | null;
  readonly marks: readonly PlotMark[];
  readonly teeth: readonly PlotTooth[];
  readonly sides: readonly {
    readonly text: string;
    readonly x: number;
    readonly y: number;
    readonly anchor: 'start' | 'end';
  }[];
  /** Size of the words under the axis. */
  readonly statusFontPx: number;
  readonly summary: string;
}

/** Room round the frame, px. */
const MARGIN = { left: 40, right: 62, top: 30, bottom: 64 } as const;
/** Where every pixel goes to the contacts, the limit is named over the frame instead of beside it. */
const NARROW_PX = 480;
const NARROW_RIGHT_PX = 4;
/** Spaces above this leave the axis: a missing contact of 3 mm would flatten the tenths that matter. */
const AXIS_MOST_MM = 1;
const AXIS_LEAST_MM = 0.4;
const AXIS_LOWEST_MM = -0.6;
const TOOTH_ROW_PX = 22;

/**
 * Lays out the contact plot.
 * @param size - of the whole picture, px; readable from about 24 px a tooth
 */
export function contactPlot(analysis: Analysis, size: PlotSize, numbering: NumberingScheme): PlotModel {
  const narrow = size.widthPx < NARROW_PX;
  const frame = {
    left: MARGIN.left,
    right: Math.max(MARGIN.left + 1, size.widthPx - (narrow ? NARROW_RIGHT_PX : MARGIN.right)),
    top: MARGIN.top,
    bottom: Math.max(MARGIN.top + 1, size.heightPx - MARGIN.bottom),
  };
  const limitMm = analysis.settings.limitMm;
  const [lowMm, highMm] = axisRange(analysis.contacts, limitMm);
  const scale = scaleLinear().domain([lowMm, highMm]).range([frame.bottom, frame.top]);
  const row = toothRow(analysis);
  const tileWidth = (frame.right - frame.left) / Math.max(row.length, 1);
  const tileLeft = (index: number) => frame.left + index * tileWidth;
  const gapPx = Math.min(3, tileWidth * 0.08);
  const teeth: PlotTooth[] = row.map(({ tooth, missing }, index) => ({
    tooth,
    label: formatTooth(tooth, numbering),
    x: tileLeft(index) + gapPx / 2,
    y: frame.bottom + 20,
    widthPx: tileWidth - gapPx,
    heightPx: TOOTH_ROW_PX,
    missing,
  }));
  const place = (tooth: ToothNumber) => row.findIndex((entry) => entry.tooth === tooth);
  const statusFontPx = Math.max(7, Math.min(10.5, tileWidth / 5.2));
  const marks = analysis.contacts.map((contact, index) => {
    const x = (tileLeft(place(contact.toothA) + 1) + tileLeft(place(contact.toothB))) / 2;
    return layMark({ contact, index, x, tileWidth, frame, scale, highMm, numbering });
  });
  const midline = marks.find((mark) => mark.toothA % 10 === 1 && mark.toothB % 10 === 1);
  const tickCount = size.heightPx > 220 ? 6 : 4;
  const tickText = scale.tickFormat(tickCount);
  const ticks = scale.ticks(tickCount).map((value) => ({
    y: scale(value),
    label: tickText(value),
    isZero: value === 0,
  }));
  return {
    ...size,
    frame,
    ticks,
    axisTitle: { text: 'space, mm', x: 6, y: frame.top - 14 },
    limit: {
      y: scale(limitMm),
      label: `limit ${formatMm(limitMm)}`,
      labelX: narrow ? frame.right : frame.right + 6,
      labelY: narrow ? frame.top - 14 : scale(limitMm) + 3.5,
      anchor: narrow ? 'end' : 'start',
    },
    midlineX: midline?.x ?? null,
    marks,
    teeth,
    sides: [
      { text: narrow ? 'right' : 'patient’s right', x: frame.left, y: size.heightPx - 6, anchor: 'start' },
      { text: narrow ? 'left' : 'patient’s left', x: frame.right, y: size.heightPx - 6, anchor: 'end' },
    ],
    statusFontPx,
    summary: summarise(analysis.contacts),
  };
}

/** The axis reaches from zero (or the lowest whisker) to the highest whisker, within bounds that keep tenths apart. */
function axisRange(contacts: readonly Contact[], limitMm: number): readonly [number, number] {
  let low = 0;
  let high = Math.max(AXIS_LEAST_MM, limitMm * 1.6);
  for (const { gap, upperBoundMm } of contacts) {
    if (gap !== null) {
      low = Math.min(low, gap.valueMm - gap.u95Mm);
      high = Math.max(high, gap.valueMm + gap.u95Mm);
    } else if (upperBoundMm !== null) high = Math.max(high, upperBoundMm);
  }
  const most = Math.max(AXIS_MOST_MM, limitMm * 1.6);
  high = Math.min(Math.ceil(high * 10 + 0.5) / 10, most);
  low = Math.max(Math.floor(low * 20) / 20, AXIS_LOWEST_MM);
  return [low, high];
}

/** Teeth of the row in arch order: those measured, and the missing ones between them. */
function toothRow(analysis: Analysis): { tooth: ToothNumber; missing: boolean }[] {
  const present = new Set(analysis.teeth.map((record) => record.tooth));
  for (const contact of analysis.contacts) present.add(contact.toothA).add(contact.toothB);
  const places = [...present].map(toothSortIndex);
  const first = Math.min(...places);
  const last = Math.max(...places);
  const missing = analysis.missing.filter((tooth) => {
    const index = toothSortIndex(tooth);
    return !present.has(tooth) && index > first && index < last;
  });
  return [
    ...[...present].map((tooth) => ({ tooth, missing: false })),
    ...missing.map((tooth) => ({ tooth, missing: true })),
  ].sort((a, b) => toothSortIndex(a.tooth) - toothSortIndex(b.tooth));
}

interface MarkInput {
  readonly contact: Contact;
  readonly index: number;
  readonly x: number;
  readonly tileWidth: number;
  readonly frame: PlotModel['frame'];
  readonly scale: (value: number) => number;
  readonly highMm: number;
  readonly numbering: NumberingScheme;
}

function layMark({ contact, index, x, tileWidth, frame, scale, highMm, numbering }: MarkInput): PlotMark {
  const { gap, upperBoundMm, status } = contact;
  const yOf = (mm: number) => Math.min(frame.bottom, Math.max(frame.top, scale(mm)));
  const offScale = gap !== null && gap.valueMm > highMm;
  const y = gap === null ? null : yOf(gap.valueMm);
  const whisker =
    gap === null || offScale
      ? null
      : {
          y1: yOf(gap.valueMm + gap.u95Mm),
          y2: yOf(gap.valueMm - gap.u95Mm),
          cutTop: gap.valueMm + gap.u95Mm > highMm,
        };
  const bandWidth = Math.max(8, Math.min(18, tileWidth * 0.3));
  const bound = gap === null && upperBoundMm !== null ? band(x, bandWidth, yOf(upperBoundMm), yOf(0)) : null;
  return {
    index,
    toothA: contact.toothA,
    toothB: contact.toothB,
    status,
    x,
    column: {
      x: x - tileWidth / 2,
      y: frame.top - 18,
      widthPx: tileWidth,
      heightPx: frame.bottom - frame.top + 36,
    },
    symbol: symbolOf(status, x, y, offScale, yOf(0)),
    whisker,
    bound,
    offScale,
    valueLabel: valueLabelOf(contact, x, offScale ? frame.top : (whisker?.y1 ?? bound?.y ?? null)),
    statusLabel: {
      text: status === 'not-measurable' ? 'no number' : statusWords(contact),
      x,
      y: frame.bottom + 13,
    },
    title: describeContact(contact, numbering),
  };
}

function valueLabelOf(contact: Contact, x: number, topY: number | null): PlotMark['valueLabel'] {
  if (topY === null) return null;
  const y = topY - 6;
  if (contact.gap !== null) return { text: formatMm(contact.gap.valueMm), x, y };
  if (contact.upperBoundMm !== null) return { text: `≤ ${formatMm(contact.upperBoundMm)}`, x, y };
  return null;
}

function band(x: number, width: number, topY: number, zeroY: number): NonNullable<PlotMark['bound']> {
  const left = x - width / 2;
  const height = Math.max(0, zeroY - topY);
  const strokes: string[] = [];
  const step = 5;
  // Lines of slope -1 clipped to the band by hand: a pattern fill needs an id, and ids clash when pictures repeat.
  for (let offset = step; offset < height + width; offset += step) {
    const x1 = left + Math.max(0, offset - height);
    const y1 = zeroY - Math.min(offset, height);
    const x2 = left + Math.min(offset, width);
    const y2 = zeroY - Math.max(0, offset - width);
    strokes.push(`M${px(x1)} ${px(y1)}L${px(x2)} ${px(y2)}`);
  }
  return { x: left, y: topY, widthPx: width, heightPx: height, hatch: strokes.join('') };
}

/** The mark on the axis; without a number only `missing tooth` and `not measurable` get one, just above zero. */
function symbolOf(
  status: ContactStatus,
  x: number,
  y: number | null,
  offScale: boolean,
  zeroY: number,
): PlotMark['symbol'] {
  if (y === null) {
    if (status !== 'not-measurable' && status !== 'missing-tooth') return null;
    return { ...statusSymbol(status, x, zeroY - 10), y: zeroY - 10 };
  }
  if (offScale) return { ...offScaleSymbol(x, y), y: y + 4 };
  return { ...statusSymbol(status, x, y), y };
}

function summarise(contacts: readonly Contact[]): string {
  const counts = new Map<string, number>();
  for (const word of contacts.map(statusWords)) counts.set(word, (counts.get(word) ?? 0) + 1);
  const parts = [...counts].map(([word, count]) => `${count} ${word}`);
  return `${contacts.length} contacts from the patient’s right to left: ${parts.join(', ')}.`;
}

/** The plot as one SVG element with classes `cp-...`; colours come from the stylesheet round it. */
export function renderContactPlotSvg(model: PlotModel): string {
  const { frame } = model;
  const out: string[] = [
    `<svg class="cp" viewBox="0 0 ${model.widthPx} ${model.heightPx}" role="img" aria-label="${escapeText(`Contact plot. ${model.summary}`)}">`,
  ];
  for (const tick of model.ticks) {
    out.push(
      `<line class="cp-grid${tick.isZero ? ' cp-zero' : ''}" x1="${px(frame.left)}" x2="${px(frame.right)}" y1="${px(tick.y)}" y2="${px(tick.y)}"/>`,
      svgText('cp-tick', frame.left - 7, tick.y + 3.5, tick.label, 'end'),
    );
  }
  out.push(svgText('cp-title', model.axisTitle.x, model.axisTitle.y, model.axisTitle.text, 'start'));
  if (model.midlineX !== null) {
    out.push(
      `<line class="cp-midline" x1="${px(model.midlineX)}" x2="${px(model.midlineX)}" y1="${px(frame.top - 12)}" y2="${px(frame.bottom)}"/>`,
    );
  }
  out.push(
    `<line class="cp-limit" x1="${px(frame.left)}" x2="${px(frame.right)}" y1="${px(model.limit.y)}" y2="${px(model.limit.y)}"/>`,
  );
  for (const mark of model.marks) out.push(renderMark(mark, model.statusFontPx));
  out.push(
    svgText('cp-limit-label', model.limit.labelX, model.limit.labelY, model.limit.label, model.limit.anchor),
  );
  for (const tooth of model.teeth) {
    out.push(
      `<rect class="cp-tooth${tooth.missing ? ' cp-tooth-missing' : ''}" x="${px(tooth.x)}" y="${px(tooth.y)}" width="${px(tooth.widthPx)}" height="${px(tooth.heightPx)}" rx="5"/>`,
      svgText('cp-tooth-label', tooth.x + tooth.widthPx / 2, tooth.y + 15, tooth.label, 'middle'),
    );
  }
  for (const side of model.sides) out.push(svgText('cp-side', side.x, side.y, side.text, side.anchor));
  out.push('</svg>');
  return out.join('');
}

function renderMark(mark: PlotMark, statusFontPx: number): string {
  const out: string[] = [
    `<g class="cp-mark cp-${mark.status}" font-size="${px(statusFontPx)}"><title>${escapeText(mark.title)}</title>`,
  ];
  if (mark.bound) {
    const { x, y, widthPx, heightPx, hatch } = mark.bound;
    out.push(
      `<rect class="cp-band" x="${px(x)}" y="${px(y)}" width="${px(widthPx)}" height="${px(heightPx)}"/>`,
      `<path class="cp-hatch" d="${hatch}"/>`,
      `<line class="cp-cap" x1="${px(x - 2)}" x2="${px(x + widthPx + 2)}" y1="${px(y)}" y2="${px(y)}"/>`,
    );
  }
  if (mark.whisker) {
    const { y1, y2, cutTop } = mark.whisker;
    const foot = `M${px(mark.x - 4)} ${px(y2)}h8`;
    const head = cutTop ? '' : `M${px(mark.x - 4)} ${px(y1)}h8`;
    out.push(`<path class="cp-whisker" d="M${px(mark.x)} ${px(y1)}V${px(y2)}${head}${foot}"/>`);
  }
  if (mark.symbol) {
    const filled = mark.symbol.filled ? 'cp-filled' : 'cp-hollow';
    out.push(`<path class="cp-symbol ${filled}" d="${mark.symbol.path}"/>`);
  }
  if (mark.valueLabel) {
    out.push(svgText('cp-value', mark.valueLabel.x, mark.valueLabel.y, mark.valueLabel.text, 'middle'));
  }
  const { x, y, text } = mark.statusLabel;
  out.push(svgText('cp-status', x, y, text, 'middle'), '</g>');
  return out.join('');
}
