import { archOrder, digitOf } from '../teeth/notation.ts';
import type { Jaw, ToothNumber } from '../teeth/types.ts';

/** An end of the row behind which a tooth may stand that was not seen. */
export interface UnseenEnd {
  /** Index of the last tooth of the row at this end. */
  readonly index: number;
  readonly tooth: ToothNumber;
  /** The tooth that comes next by number, neither measured nor marked as missing. */
  readonly behind: ToothNumber;
}

/** Third molars are often absent without being marked so: no tooth is expected in their place. */
const THIRD_MOLAR = 8;

/**
 * The ends of a row of teeth at which the mouth need not end: a scan of a quadrant, a set of crowns, a click that was
 * not made. A row ends where no further tooth is expected - at the second or third molar, or where every tooth beyond
 * is marked as missing; anywhere else the next tooth may stand there, unseen.
 *
 * @param teeth - of the row in arch order, the patient's right to left
 * @param missing - teeth that are said to be absent
 */
export function unseenEnds(
  jaw: Jaw,
  teeth: readonly ToothNumber[],
  missing: readonly ToothNumber[],
): UnseenEnd[] {
  const order = archOrder(jaw);
  const absent = new Set(missing);
  const lookBeyond = (index: number, step: 1 | -1): UnseenEnd[] => {
    const tooth = teeth[index];
    if (tooth === undefined) return [];
    for (let at = order.indexOf(tooth) + step; at >= 0 && at < order.length; at += step) {
      const behind = order[at]!;
      if (digitOf(behind) === THIRD_MOLAR) return [];
      if (!absent.has(behind)) return [{ index, tooth, behind }];
    }
    return [];
  };
  return [...lookBeyond(0, -1), ...lookBeyond(teeth.length - 1, 1)];
}
