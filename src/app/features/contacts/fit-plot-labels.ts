import type { PlotMark } from '../../../report/contact-plot-svg.ts';

/** A digit of the plot's values is about this wide, as a share of the type size. */
const DIGIT_SHARE = 0.58;
/** Free space kept between two values, px. */
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

/**
 * The marks whose value can be written without touching another value: the selected one first, then by status.
 *
 * @param fontPx - type size of the values
 */
export function fitPlotLabels(
  marks: readonly PlotMark[],
  selected: number | null,
  fontPx: number,
): Set<number> {
  const rank = (mark: PlotMark): number => (mark.index === selected ? -1 : RANK.indexOf(mark.status));
  const written: PlotMark[] = [];
  for (const mark of [...marks].sort((a, b) => rank(a) - rank(b) || a.index - b.index)) {
    const label = mark.valueLabel;
    if (label === null) continue;
    const free = written.every((other) => {
      const near = other.valueLabel!;
      const halfWidths = ((label.text.length + near.text.length) / 2) * fontPx * DIGIT_SHARE;
      return (
        Math.abs(label.x - near.x) >= halfWidths + APART_PX || Math.abs(label.y - near.y) >= fontPx + APART_PX
      );
    });
    if (free) written.push(mark);
  }
  return new Set(written.map((mark) => mark.index));
}
