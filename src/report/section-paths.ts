import { curveCatmullRom, line } from 'd3-shape';
import type { PanelFrame } from './section-frame.ts';
import { isClosed, longestLine, type Point, thinLine } from './section-lines.ts';
import { px } from './svg-path.ts';

/** Farther than this outside a panel a line is drawn coarsely. */
const CLIPPED_PX = 60;
const CLIPPED_STEP_MM = 0.8;

/** Centripetal Catmull-Rom: passes through the points and makes neither loops nor cusps (Yuksel et al. 2011). */
const smooth = line<Point>().curve(curveCatmullRom.alpha(0.5)).digits(2);

/** Lines of the cut as smooth path data. */
export function pathOf(
  lines: readonly Point[][],
  toPx: (p: Point) => Point,
  frame: PanelFrame,
  stepMm: number,
): string {
  return lines.map((points) => smooth(drawnLine(points, toPx, frame, stepMm)) ?? '').join('');
}

/** A line in pixels: as fine as the step inside the frame and round it, coarse where it is clipped anyway. */
function drawnLine(
  points: readonly Point[],
  toPx: (p: Point) => Point,
  frame: PanelFrame,
  stepMm: number,
): Point[] {
  return thinLine(points, (p) => (isShown(toPx(p), frame) ? stepMm : CLIPPED_STEP_MM)).map(toPx);
}

/** Inside the frame or so little outside it that it is drawn finely. */
function isShown([x, y]: Point, { x: left, y: top, widthPx, heightPx }: PanelFrame): boolean {
  return (
    x > left - CLIPPED_PX &&
    x < left + widthPx + CLIPPED_PX &&
    y > top - CLIPPED_PX &&
    y < top + heightPx + CLIPPED_PX
  );
}

/** The tooth's inside: the largest line, closed straight down past the frame when it is open. */
export function bodyOf(
  lines: readonly Point[][],
  toPx: (p: Point) => Point,
  frame: PanelFrame,
  stepMm: number,
): string {
  const largest = longestLine(lines);
  if (!largest) return '';
  const drawn = drawnLine(largest, toPx, frame, stepMm);
  const outline = smooth(drawn) ?? '';
  if (isClosed(largest)) return `${outline}Z`;
  const below = frame.y + frame.heightPx + 40;
  const [first, last] = [drawn[0]!, drawn[drawn.length - 1]!];
  return `${outline}L${px(last[0])} ${px(Math.max(below, last[1]))}L${px(first[0])} ${px(Math.max(below, first[1]))}Z`;
}

/** The gum between the teeth: each of its lines, filled downwards. */
export function gumBodyOf(
  lines: readonly Point[][],
  toPx: (p: Point) => Point,
  frame: PanelFrame,
  stepMm: number,
): string {
  const below = frame.y + frame.heightPx + 40;
  return lines
    .map((points) => {
      const drawn = drawnLine(points, toPx, frame, stepMm);
      const [first, last] = [drawn[0]!, drawn[drawn.length - 1]!];
      return `${smooth(drawn) ?? ''}L${px(last[0])} ${px(below)}L${px(first[0])} ${px(below)}Z`;
    })
    .join('');
}
