import { median } from '../geometry/median.ts';
import { archOrder, digitOf, toothSortIndex } from './notation.ts';
import { textbookSize } from './tooth-sizes-table.ts';
import type { Jaw, ToothNumber, ToothWarning } from './types.ts';

/** A tooth of the row with the width that its region has along the arch, mm. */
export interface WideTooth {
  readonly tooth: ToothNumber;
  readonly widthMm: number;
}

/** Fewer teeth than this say too little about the size of a mouth. */
const LEAST_TEETH = 6;
/**
 * Spread of a tooth's width around what the size of its mouth lets expect, as a share: about what populations show
 * (6 to 8 %) and what labels add. Lateral incisors and third molars vary most.
 */
const SPREAD = 0.09;
const SPREAD_OF_DIGIT: Readonly<Record<number, number>> = { 2: 0.13, 8: 0.15 };
/** One tooth speaks for no more than this: it may be a peg, a crown that was made, half a region. A premolar in a molar's place says 8. */
const MOST_PER_TOOTH = 10;
/** How much better (log-likelihood) other numbers must explain the widths before it is asked. */
const CLEARLY_BETTER = 8;
/** And how well, per tooth: numbers of a row that fits badly either way are not asked about. */
const FITS = 1.2;

/**
 * Whether a run of teeth looks one number off by its widths: a molar is half as wide again as a premolar, so a row that
 * was counted from the wrong tooth, or past an extracted one, shows where the molars should begin. Every run of
 * neighbours is tried one place to either side and held against the textbook's widths times the size of the mouth.
 *
 * @param row - in arch order
 * @returns a question (`NUMBERS_ONE_OFF`), or null where the given numbers explain the widths nearly as well
 */
export function checkWidths(row: readonly WideTooth[], jaw: Jaw): ToothWarning | null {
  if (row.length < LEAST_TEETH) return null;
  const given = row.map(({ tooth }) => tooth);
  let best: readonly ToothNumber[] = given;
  let least = Number.POSITIVE_INFINITY;
  for (const numbers of oneOff(given, archOrder(jaw))) {
    const found = misfit(row, numbers);
    if (found >= least) continue;
    best = numbers;
    least = found;
  }
  if (misfit(row, given) - least < CLEARLY_BETTER || least > FITS * row.length) return null;
  const renumber = given.flatMap((from, k) => (from === best[k]! ? [] : { from, to: best[k]! }));
  const [is, likely] = [renumber.map(({ from }) => from), renumber.map(({ to }) => to)];
  return {
    code: 'NUMBERS_ONE_OFF',
    tooth: is[0]!,
    teeth: [...is, ...likely],
    renumber,
    sentence: `Are these numbers one off? By their widths ${runWords(is)} look like ${runWords(likely)}. Check where the molars begin, and whether a tooth is missing or a primary molar stands in a premolar’s place; nothing was changed.`,
  };
}

/** Few teeth one by one, a long run by its ends. */
function runWords(teeth: readonly ToothNumber[]): string {
  return teeth.length <= 3 ? teeth.join(', ') : `${teeth[0]} to ${teeth.at(-1)}`;
}

/** The numbers of a row with one run of it a place farther to either side, as far as such numbers exist and rise. */
function* oneOff(given: readonly ToothNumber[], order: readonly ToothNumber[]): Generator<ToothNumber[]> {
  const places = given.map(toothSortIndex);
  for (let from = 0; from < places.length; from++) {
    for (let to = from; to < places.length; to++) {
      for (const step of [-1, 1]) {
        const moved = numbersMoved(places, from, to, step, order);
        if (moved !== null) yield moved;
      }
    }
  }
}

/** Null where such numbers do not exist or do not rise. */
function numbersMoved(
  places: readonly number[],
  from: number,
  to: number,
  step: number,
  order: readonly ToothNumber[],
): ToothNumber[] | null {
  const numbers: ToothNumber[] = [];
  let before = -1;
  for (const [k, place] of places.entries()) {
    const moved = k >= from && k <= to ? place + step : place;
    const number = order[moved];
    if (number === undefined || moved <= before) return null;
    numbers.push(number);
    before = moved;
  }
  return numbers;
}

/** Negative log-likelihood of the widths if the teeth had these numbers; the mouth's size is the best one for them. */
function misfit(row: readonly WideTooth[], numbers: readonly ToothNumber[]): number {
  const ratios = new Float64Array(row.length);
  for (const [k, { widthMm }] of row.entries()) {
    ratios[k] = Math.log(widthMm / textbookSize(numbers[k]!).mesiodistalMm);
  }
  const size = median(ratios.slice());
  let sum = 0;
  for (const [k, ratio] of ratios.entries()) {
    const spread = SPREAD_OF_DIGIT[digitOf(numbers[k]!)] ?? SPREAD;
    sum += Math.min(MOST_PER_TOOTH, ((ratio - size) / spread) ** 2 / 2);
  }
  return sum;
}
