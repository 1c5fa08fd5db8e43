import { digitOf } from '../teeth/notation.ts';
import { textbookSize } from '../teeth/tooth-sizes-table.ts';
import type { ToothRecord } from '../teeth/types.ts';
import { px } from './svg-path.ts';

/** What a crown on the arch map is drawn from: the scan, or a form of its measured or of a textbook width. */
export type CrownSource = 'scan' | 'widths' | 'textbook';

type Point = readonly [number, number];

const OUTLINE_POINTS = 48;
const USUAL_SQUARENESS = 2.5;
/** Exponent of the superellipse that stands for a crown seen from above: incisors flat ovals, molars rounded squares. */
const SQUARENESS: Readonly<Record<number, number>> = {
  1: 2.6,
  2: 2.5,
  3: 2.1,
  4: 2.3,
  5: 2.4,
  6: 3,
  7: 3,
  8: 2.7,
};

/**
 * A crown seen from its top, in chart coordinates (u to the patient's left, v down the page), mm.
 *
 * @param centre - chart coordinates
 * @param along - unit direction of the arch there, chart coordinates
 * @param down - the chart's v is this many times the occlusal frame's y: -1 for an upper arch, 1 for a lower one
 */
export function crownShape(
  record: ToothRecord,
  centre: Point,
  along: Point,
  down: 1 | -1,
): { readonly outline: readonly Point[]; readonly drawnFrom: CrownSource; readonly buccolingualMm: number } {
  const book = textbookSize(record.tooth);
  const mesiodistalMm = record.mesiodistalMm ?? book.mesiodistalMm;
  const buccolingualMm = record.buccolingualMm ?? book.buccolingualMm;
  const { outlineMm } = record;
  if (outlineMm !== undefined) {
    const outline: Point[] = [];
    for (let k = 0; k + 1 < outlineMm.length; k += 2) outline.push([outlineMm[k]!, down * outlineMm[k + 1]!]);
    return { outline, drawnFrom: 'scan', buccolingualMm };
  }
  const measured = record.mesiodistalMm !== null && record.buccolingualMm !== null;
  return {
    outline: form(centre, along, mesiodistalMm, buccolingualMm, SQUARENESS[digitOf(record.tooth)]),
    drawnFrom: measured ? 'widths' : 'textbook',
    buccolingualMm,
  };
}

/** A superellipse that stands in for a crown. */
function form(
  [cu, cv]: Point,
  [tu, tv]: Point,
  mesiodistalMm: number,
  buccolingualMm: number,
  squareness: number = USUAL_SQUARENESS,
): Point[] {
  const power = (value: number) => Math.sign(value) * Math.abs(value) ** (2 / squareness);
  return Array.from({ length: OUTLINE_POINTS }, (_, k) => {
    const angle = (2 * Math.PI * k) / OUTLINE_POINTS;
    const on = (mesiodistalMm / 2) * power(Math.cos(angle));
    const across = (buccolingualMm / 2) * power(Math.sin(angle));
    return [cu + on * tu - across * tv, cv + on * tv + across * tu];
  });
}

function placeText([x, y]: Point): string {
  return `${px(x)} ${px(y)}`;
}

/** Closed polygon as path data, px. */
export function polygonPath(points: readonly Point[]): string {
  return `M${points.map(placeText).join('L')}Z`;
}
