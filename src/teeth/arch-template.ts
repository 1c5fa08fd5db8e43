import { archOrder, toothSortIndex } from './notation.ts';
import { textbookSize } from './tooth-sizes-table.ts';
import type { Jaw, ToothNumber } from './types.ts';

/**
 * Beta curve of Braun et al. 1998 (Angle Orthod 68:29): y = 3.0314 D [(1/2 + x/W)(1/2 - x/W)]^0.8. The width and
 * depth stand for any arch: only directions are taken from the template, never a size.
 */
const TEMPLATE_WIDTH_MM = 60;
const TEMPLATE_DEPTH_MM = 45;
const CURVE_STEPS = 2000;

/** Where each tooth of a textbook arch stands: x to the patient's left, y to the front, mm. */
export function templatePlace(tooth: ToothNumber, jaw: Jaw): readonly [number, number] {
  return placesOf(jaw)[toothSortIndex(tooth)] ?? [0, 0];
}

const cache = new Map<Jaw, readonly (readonly [number, number])[]>();

function placesOf(jaw: Jaw): readonly (readonly [number, number])[] {
  const known = cache.get(jaw);
  if (known) return known;
  const widths = archOrder(jaw).map((tooth) => textbookSize(tooth).mesiodistalMm);
  const half = widths.reduce((sum, width) => sum + width, 0) / 2;
  let along = -half;
  const places = widths.map((width) => {
    along += width;
    return pointAtArcLength(along - width / 2);
  });
  cache.set(jaw, places);
  return places;
}

function betaHeight(x: number): number {
  const u = Math.max(0, (0.5 + x / TEMPLATE_WIDTH_MM) * (0.5 - x / TEMPLATE_WIDTH_MM));
  return 2 ** 1.6 * TEMPLATE_DEPTH_MM * u ** 0.8;
}

/** Point of the beta curve at a signed arc length from its front; beyond its ends the curve goes straight back. */
function pointAtArcLength(s: number): readonly [number, number] {
  let x = 0;
  let y = betaHeight(0);
  let travelled = 0;
  for (let k = 1; k <= CURVE_STEPS; k++) {
    const nextX = (TEMPLATE_WIDTH_MM / 2) * (1 - (1 - k / CURVE_STEPS) ** 2);
    const nextY = betaHeight(nextX);
    const step = Math.hypot(nextX - x, nextY - y);
    if (travelled + step >= Math.abs(s)) {
      const f = (Math.abs(s) - travelled) / step;
      return [Math.sign(s) * (x + f * (nextX - x)), y + f * (nextY - y)];
    }
    travelled += step;
    x = nextX;
    y = nextY;
  }
  return [Math.sign(s) * x, y - (Math.abs(s) - travelled)];
}
