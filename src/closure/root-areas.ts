import { digitOf, jawOf } from '../teeth/notation.ts';
import type { Jaw, ToothNumber } from '../teeth/types.ts';

/**
 * Root surface per tooth in mm2, first to seventh tooth from the midline, after Jepsen A., Acta Odontol Scand
 * 21:35, 1963. The values per tooth are from memory; their total of 7,616 mm2 for 28 teeth agrees with the
 * published 75 cm2 (Hujoel et al., J Periodontal Res 36:48, 2001). No value for third molars is at hand: they count
 * like the second molar of their jaw, which is our choice.
 */
const ROOT_AREA_MM2: Record<Jaw, readonly number[]> = {
  upper: [204, 179, 273, 234, 220, 433, 431],
  lower: [154, 168, 268, 180, 207, 431, 426],
};

/** Where the table comes from, in one sentence for reports. */
export const ROOT_AREA_SOURCE =
  'Root surfaces after Jepsen 1963 (values per tooth from memory; their total agrees with Hujoel 2001); third molars count like second molars (our choice).';

/** a_i: resistance of a tooth to motion, its root surface in mm2. */
export function rootAreaMm2(tooth: ToothNumber): number {
  const table = ROOT_AREA_MM2[jawOf(tooth)];
  return table[Math.min(digitOf(tooth), table.length) - 1]!;
}
