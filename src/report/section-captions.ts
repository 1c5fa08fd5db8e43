import type { PanelFrame, PlacedText } from './section-frame.ts';
import type { Point } from './section-lines.ts';
import type { TextAnchor } from './svg-path.ts';

/** Quiet words in a panel of the section. */
export interface SectionCaption extends PlacedText {
  readonly what: 'up' | 'gum' | 'fit';
  readonly anchor: TextAnchor;
}

const UP_WORDS = 'crowns’ tops ↑';
/** Half the width of these words in the widest of the fonts they are drawn with, with a little room at both ends, px. */
const UP_HALF_PX = 46;
/** Their base line below the rim, and how far below it the next thing may begin, px. */
const UP_BASE_PX = 16;
const UP_CLEAR_PX = 8;
const STEP_PX = 4;

/**
 * `crowns’ tops ↑`, at the upper rim, above what was cut: in the middle, or as near to it as there is room. None where
 * the crowns reach up to the rim all along.
 *
 * @param lines - of both crowns, mm
 */
export function upCaption(
  lines: readonly Point[][],
  toPx: (p: Point) => Point,
  frame: PanelFrame,
): SectionCaption[] {
  const drawn = lines.map((points) => points.map(toPx));
  const y = frame.y + UP_BASE_PX;
  const middle = frame.x + frame.widthPx / 2;
  const most = frame.widthPx / 2 - UP_HALF_PX;
  for (let aside = 0; aside <= most; aside += STEP_PX) {
    for (const x of [middle - aside, middle + aside]) {
      if (highestBetween(drawn, x - UP_HALF_PX, x + UP_HALF_PX) > y + UP_CLEAR_PX)
        return [{ what: 'up', text: UP_WORDS, x, y, anchor: 'middle' }];
    }
  }
  return [];
}

/** The least y of the lines between two x, px; their crowns lie below it. */
function highestBetween(lines: readonly Point[][], left: number, right: number): number {
  let least = Number.POSITIVE_INFINITY;
  for (const points of lines) {
    for (let k = 1; k < points.length; k++) {
      const [p, q] = [points[k - 1]!, points[k]!];
      const [from, to] = [Math.max(left, Math.min(p[0], q[0])), Math.min(right, Math.max(p[0], q[0]))];
      if (from > to) continue;
      const at = (x: number): number =>
        p[0] === q[0] ? Math.min(p[1], q[1]) : p[1] + ((x - p[0]) / (q[0] - p[0])) * (q[1] - p[1]);
      least = Math.min(least, at(from), at(to));
    }
  }
  return least;
}

/** `gum`, at the foot of the piece of gum that shows nearest the contact. */
export function gumCaption(
  lines: readonly Point[][],
  toPx: (p: Point) => Point,
  frame: PanelFrame,
): SectionCaption[] {
  const right = frame.x + frame.widthPx;
  const centre = frame.x + frame.widthPx / 2;
  const middles = lines
    .map((points) => points.map((p) => toPx(p)[0]).filter((x) => x > frame.x && x < right))
    .filter((xs) => xs.length > 1)
    .map((xs) => (Math.min(...xs) + Math.max(...xs)) / 2)
    .sort((p, q) => Math.abs(p - centre) - Math.abs(q - centre));
  const nearest = middles[0];
  if (nearest === undefined) return [];
  const x = Math.max(frame.x + 70, Math.min(right - 24, nearest));
  return [{ what: 'gum', text: 'gum', x, y: frame.y + frame.heightPx - 9, anchor: 'middle' }];
}
