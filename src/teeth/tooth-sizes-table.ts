import { digitOf, jawOf } from './notation.ts';
import type { Jaw, ToothNumber } from './types.ts';

/** Textbook size of a permanent tooth, mm. */
export interface ToothSize {
  /** Crown length, cemento-enamel junction to cusp tip or incisal edge. */
  readonly crownMm: number;
  readonly mesiodistalMm: number;
  /** Bucco- or labiolingual. */
  readonly buccolingualMm: number;
}

/**
 * "Specifications for drawing and carving teeth of average size", Table 1-1 of Wheeler's / Ash & Nelson's Dental
 * Anatomy; per row crown length, mesiodistal, buccolingual in mm for digits 1 to 8. The upper 1 and 2 rows were
 * checked against a second source; the other rows are from memory. Support for the mesiodistal column: its sums give
 * Bolton ratios of 91.4 % (6-6) and 77.8 % (3-3), Bolton's published means being 91.3 and 77.2 (a test computes them).
 */
const TEXTBOOK: Readonly<Record<Jaw, readonly (readonly [number, number, number])[]>> = {
  upper: [
    [10.5, 8.5, 7.0],
    [9.0, 6.5, 6.0],
    [10.0, 7.5, 8.0],
    [8.5, 7.0, 9.0],
    [8.5, 7.0, 9.0],
    [7.5, 10.0, 11.0],
    [7.0, 9.0, 11.0],
    [6.5, 8.5, 10.0],
  ],
  lower: [
    [9.0, 5.0, 6.0],
    [9.5, 5.5, 6.5],
    [11.0, 7.0, 7.5],
    [8.5, 7.0, 7.5],
    [8.0, 7.0, 8.0],
    [7.5, 11.0, 10.5],
    [7.0, 10.5, 10.0],
    [7.0, 10.0, 9.5],
  ],
};

/** Textbook size of a tooth (same for right and left). */
export function textbookSize(tooth: ToothNumber): ToothSize {
  const row = TEXTBOOK[jawOf(tooth)][digitOf(tooth) - 1];
  if (row === undefined) throw new RangeError(`No tooth ${tooth} in the table of sizes.`);
  const [crownMm, mesiodistalMm, buccolingualMm] = row;
  return { crownMm, mesiodistalMm, buccolingualMm };
}
