/** Data of published worked examples (facts as remembered; the results below them are what the papers print). */

/** P. Shrout, J. Fleiss, Psychol Bull 1979;86:420-428, table 2: six targets, four judges. */
export const SHROUT_FLEISS = [
  [9, 2, 5, 8],
  [6, 1, 3, 2],
  [8, 4, 6, 8],
  [7, 1, 2, 6],
  [10, 5, 6, 9],
  [6, 2, 4, 7],
];

/** J. Bland, D. Altman, Lancet 1986;1:307-310: peak expiratory flow of 17 subjects, l/min, two meters twice each. */
export const LARGE_FIRST = [
  494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427,
];
export const LARGE_SECOND = [
  490, 397, 512, 401, 470, 611, 415, 431, 638, 429, 420, 633, 275, 492, 165, 372, 421,
];
export const MINI_FIRST = [
  512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451,
];
export const MINI_SECOND = [
  525, 415, 508, 444, 500, 625, 460, 390, 642, 432, 420, 605, 227, 467, 268, 370, 443,
];

export function paired(first: readonly number[], second: readonly number[]): [number, number][] {
  return first.map((value, k) => [value, second[k]!]);
}
