import { inputError } from '../geometry/archgap-error.ts';
import type { Jaw, NumberingScheme, ToothNumber } from './types.ts';

/**
 * Tooth numbers: ISO 3950 inside, the universal scheme 1-32 and Palmer (quadrant and digit) at the rim. The
 * formulas are those of ISO 3950 and of the universal chart; codes 11-18, 21-28, 31 and 32 exist in both schemes,
 * so a scheme is never guessed from a value.
 */

const UPPER_ORDER: readonly ToothNumber[] = [18, 17, 16, 15, 14, 13, 12, 11, 21, 22, 23, 24, 25, 26, 27, 28];
const LOWER_ORDER: readonly ToothNumber[] = [48, 47, 46, 45, 44, 43, 42, 41, 31, 32, 33, 34, 35, 36, 37, 38];

/** Palmer quadrants in the order of the ISO first digit 1 to 4: upper/lower, patient's right/left. */
const PALMER_QUADRANTS: readonly string[] = ['UR', 'UL', 'LL', 'LR'];

/** True for the ISO 3950 number of a permanent tooth: 11-18, 21-28, 31-38, 41-48. */
export function isToothNumber(n: number): n is ToothNumber {
  if (!Number.isInteger(n)) return false;
  const quadrant = Math.floor(n / 10);
  const digit = n % 10;
  return quadrant >= 1 && quadrant <= 4 && digit >= 1 && digit <= 8;
}

/** Position from the midline: 1 = central incisor ... 8 = third molar. */
export function digitOf(tooth: ToothNumber): number {
  return tooth % 10;
}

/** ISO 3950 quadrant: 1 upper right, 2 upper left, 3 lower left, 4 lower right (patient's side). */
export function quadrantOf(tooth: ToothNumber): number {
  return Math.floor(tooth / 10);
}

/** The jaw of a tooth. */
export function jawOf(tooth: ToothNumber): Jaw {
  return quadrantOf(tooth) <= 2 ? 'upper' : 'lower';
}

/** All sixteen numbers of a jaw from the patient's right to left: 18..11, 21..28 or 48..41, 31..38. */
export function archOrder(jaw: Jaw): readonly ToothNumber[] {
  return jaw === 'upper' ? UPPER_ORDER : LOWER_ORDER;
}

/** Place of a tooth in its jaw's arch order, 0 (right third molar) to 15 (left third molar). */
export function toothSortIndex(tooth: ToothNumber): number {
  return archOrder(jawOf(tooth)).indexOf(tooth);
}

/** ISO 3950 number of universal number 1-32. */
export function universalToIso(n: number): ToothNumber {
  if (n <= 8) return 19 - n;
  if (n <= 16) return 12 + n;
  if (n <= 24) return 55 - n;
  return 16 + n;
}

/** Universal number 1-32 of an ISO 3950 number. */
export function isoToUniversal(tooth: ToothNumber): number {
  const digit = digitOf(tooth);
  switch (quadrantOf(tooth)) {
    case 1:
      return 9 - digit;
    case 2:
      return 8 + digit;
    case 3:
      return 25 - digit;
    default:
      return 24 + digit;
  }
}

/**
 * Reads a tooth number written in one scheme. Palmer is written with the quadrant's letters and the digit (`UR6`).
 *
 * @throws ArchgapError `TOOTH_UNKNOWN`
 */
export function parseTooth(text: string, scheme: NumberingScheme): ToothNumber {
  const trimmed = text.trim();
  if (scheme === 'palmer') {
    const match = /^(UR|UL|LL|LR)([1-8])$/i.exec(trimmed);
    if (match?.[1] && match[2]) {
      const quadrant = PALMER_QUADRANTS.indexOf(match[1].toUpperCase()) + 1;
      return quadrant * 10 + Number(match[2]);
    }
    throw unknownTooth(text, 'a quadrant and a digit, UR1 to LR8');
  }
  const n = /^\d{1,2}$/.test(trimmed) ? Number(trimmed) : Number.NaN;
  if (scheme === 'universal') {
    if (n >= 1 && n <= 32) return universalToIso(n);
    throw unknownTooth(text, 'a universal number, 1 to 32');
  }
  if (isToothNumber(n)) return n;
  throw unknownTooth(text, 'an ISO 3950 number of a permanent tooth, 11-18, 21-28, 31-38 or 41-48');
}

function unknownTooth(text: string, expected: string): Error {
  const shown = text.length > 20 ? `${text.slice(0, 20)}...` : text;
  return inputError('TOOTH_UNKNOWN', `"${shown}" is no tooth number; expected ${expected}.`, {
    details: { found: shown, expected },
  });
}

/** Writes a tooth number in a scheme: `16`, `3` or `UR6`. */
export function formatTooth(tooth: ToothNumber, scheme: NumberingScheme): string {
  if (scheme === 'universal') return String(isoToUniversal(tooth));
  if (scheme === 'palmer') return `${PALMER_QUADRANTS[quadrantOf(tooth) - 1] ?? ''}${digitOf(tooth)}`;
  return String(tooth);
}
