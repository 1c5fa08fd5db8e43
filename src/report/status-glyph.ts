import type { ContactStatus } from '../contacts/types.ts';
import { px, strokePath } from './svg-path.ts';

/** One mark: path data, and whether its inside is solid. */
export interface StatusSymbol {
  readonly path: string;
  readonly filled: boolean;
}

const RADIUS_PX = 5;

/**
 * The mark of a status round (x, y), about 11 px wide. Every status has a shape of its own, so that colour is never
 * the only difference: open a disc, undecided a hollow diamond, closed a solid square, overlap a solid triangle
 * pointing down, bridged a hatched bar, missing and not measurable crosses, upright and slanted.
 */
export function statusSymbol(status: ContactStatus, x: number, y: number): StatusSymbol {
  const r = RADIUS_PX;
  switch (status) {
    case 'open':
      return { path: circle(x, y, r), filled: true };
    case 'undecided':
      return {
        path: polygon(x, y, [
          [0, -6],
          [6, 0],
          [0, 6],
          [-6, 0],
        ]),
        filled: false,
      };
    case 'closed':
      return {
        path: polygon(x, y, [
          [-4.5, -4.5],
          [4.5, -4.5],
          [4.5, 4.5],
          [-4.5, 4.5],
        ]),
        filled: true,
      };
    case 'overlap':
      return {
        path: polygon(x, y, [
          [-6, -5],
          [6, -5],
          [0, 6],
        ]),
        filled: true,
      };
    case 'bridged':
      return {
        path: `${polygon(x, y, [
          [-4, -6],
          [4, -6],
          [4, 6],
          [-4, 6],
        ])}${strokePath([x - 4, y - 1], [x + 1, y - 6])}${strokePath([x - 4, y + 5], [x + 4, y - 3])}`,
        filled: false,
      };
    case 'missing-tooth':
      return {
        path: `${strokePath([x - 5, y], [x + 5, y])}${strokePath([x, y - 5], [x, y + 5])}`,
        filled: false,
      };
    case 'not-measurable':
      return {
        path: `${strokePath([x - 4, y - 4], [x + 4, y + 4])}${strokePath([x - 4, y + 4], [x + 4, y - 4])}`,
        filled: false,
      };
  }
}

/** The arrow that stands for a space above the axis; its tip touches (x, y). */
export function offScaleSymbol(x: number, y: number): StatusSymbol {
  return {
    path: polygon(x, y, [
      [0, -2],
      [7, 9],
      [-7, 9],
    ]),
    filled: true,
  };
}

/** The mark alone, for tables and legends: one SVG element of 14 by 14. */
export function renderStatusGlyph(status: ContactStatus): string {
  const { path, filled } = statusSymbol(status, 7, 7);
  return `<svg class="cp-${status}" viewBox="0 0 14 14" aria-hidden="true"><path class="cp-symbol ${filled ? 'cp-filled' : 'cp-hollow'}" d="${path}"/></svg>`;
}

function circle(x: number, y: number, r: number): string {
  return `M${px(x - r)} ${px(y)}a${r} ${r} 0 1 0 ${2 * r} 0a${r} ${r} 0 1 0 ${-2 * r} 0Z`;
}

function polygon(x: number, y: number, corners: readonly (readonly [number, number])[]): string {
  return `M${corners.map(([dx, dy]) => `${px(x + dx)} ${px(y + dy)}`).join('L')}Z`;
}
