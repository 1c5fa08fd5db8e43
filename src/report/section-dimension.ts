import type { PanelFrame, PlacedText } from './section-frame.ts';
import type { Point } from './section-lines.ts';
import { px, strokePath, type TextAnchor } from './svg-path.ts';

/** A dimension line with its number. Picture pixels. */
export interface SectionDimension {
  /** From closest point to closest point. */
  readonly x1: number;
  readonly y1: number;
  readonly x2: number;
  readonly y2: number;
  /** Dimension line, parallel, outside the walls: path data with its two witness lines. */
  readonly witness: string;
  /** The line with its two arrow heads, path data. */
  readonly arrows: string;
  readonly label: PlacedText & { readonly anchor: TextAnchor };
}

/**
 * A dimension line as on a drawing: witness lines leave both points at right angles to the distance, upwards, and the
 * arrows stand between them, or outside pointing inwards where there is no room between.
 */
export function dimensionOf(a: Point, b: Point, frame: PanelFrame, label: string): SectionDimension {
  const length = Math.hypot(b[0] - a[0], b[1] - a[1]);
  const along: Point = length > 0 ? [(b[0] - a[0]) / length, (b[1] - a[1]) / length] : [1, 0];
  const up: Point = along[0] >= 0 ? [along[1], -along[0]] : [-along[1], along[0]];
  const reach = Math.min(frame.heightPx * 0.3, Math.min(a[1], b[1]) - frame.y - 40);
  const offset = Math.max(18, reach);
  const shift = ([x, y]: Point, by: number): Point => [x + up[0] * by, y + up[1] * by];
  const [a1, b1] = [shift(a, offset), shift(b, offset)];
  const witness = [
    [shift(a, 5), shift(a, offset + 6)],
    [shift(b, 5), shift(b, offset + 6)],
  ]
    .map(([from, to]) => `M${px(from![0])} ${px(from![1])}L${px(to![0])} ${px(to![1])}`)
    .join('');
  const inside = length > 34;
  const arrows = inside
    ? `${strokePath(a1, b1)}${head(a1, along, -1)}${head(b1, along, 1)}`
    : `${strokePath(move(a1, along, -22), a1)}${strokePath(b1, move(b1, along, 22))}${head(a1, along, 1)}${head(b1, along, -1)}`;
  const middle = shift([(a[0] + b[0]) / 2, (a[1] + b[1]) / 2], offset + 14);
  return {
    x1: a[0],
    y1: a[1],
    x2: b[0],
    y2: b[1],
    witness,
    arrows,
    label: { text: label, x: middle[0], y: Math.max(frame.y + 20, middle[1]), anchor: 'middle' },
  };
}

function move([x, y]: Point, along: Point, by: number): Point {
  return [x + along[0] * by, y + along[1] * by];
}

/** An open arrow head with its tip at `tip`, pointing along `sense * along`. */
function head(tip: Point, along: Point, sense: -1 | 1): string {
  const back = move(tip, along, -7 * sense);
  const across: Point = [-along[1] * 3, along[0] * 3];
  return `M${px(back[0] + across[0])} ${px(back[1] + across[1])}L${px(tip[0])} ${px(tip[1])}L${px(back[0] - across[0])} ${px(back[1] - across[1])}`;
}
