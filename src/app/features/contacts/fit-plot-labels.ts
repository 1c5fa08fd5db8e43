import type { PlotMark } from '../../../report/contact-plot-svg.ts';

/** A digit or letter of the plot's texts is about this wide, as a share of the type size. */
const LETTER_SHARE = 0.58;
/** Free space kept between two texts, px. */
const APART_PX = 4;

/** What matters most is written first; the rest is written where room is left. */
const RANK = [
  'open',
  'overlap',
  'undecided',
  'closed',
  'not-measurable',
  'bridged',
  'missing-tooth',
] as const;

/** The selected mark comes right after those that were measured. */
const SELECTED_RANK = RANK.indexOf('undecided') + 0.5;

/** A text of a mark, centred on x; null where it has none. */
export type TextOf = (mark: PlotMark) => PlotMark['valueLabel'];

/**
 * The marks whose text can be written without touching another one: what was measured first, then the
 * selected mark, then the rest.
 *
 * @param fontPx - type size of the texts
 * @returns indices of marks
 */
export function fitPlotLabels(
  marks: readonly PlotMark[],
  textOf: TextOf,
  selected: number | null,
  fontPx: number,
): Set<number> {
  const rank = (mark: PlotMark): number => {
    const place = RANK.indexOf(mark.status);
    return mark.index === selected ? Math.min(place, SELECTED_RANK) : place;
  };
  const written: NonNullable<PlotMark['valueLabel']>[] = [];
  const indices = new Set<number>();
  for (const mark of [...marks].sort((a, b) => rank(a) - rank(b) || a.index - b.index)) {
    const text = textOf(mark);
    if (text === null) continue;
    const free = written.every((other) => {
      const halfWidths = ((text.text.length + other.text.length) / 2) * fontPx * LETTER_SHARE;
      return (
        Math.abs(text.x - other.x) >= halfWidths + APART_PX || Math.abs(text.y - other.y) >= fontPx + APART_PX
      );
    });
    if (!free) continue;
    written.push(text);
    indices.add(mark.index);
  }
  return indices;
}
