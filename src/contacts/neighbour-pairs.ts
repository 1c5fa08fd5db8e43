import { archOrder } from '../teeth/notation.ts';
import type { Jaw, ToothNumber } from '../teeth/types.ts';

/** Two teeth that stand next to each other in the row, A nearer the patient's right. */
export interface NeighbourPair {
  readonly toothA: ToothNumber;
  readonly toothB: ToothNumber;
  /** Tooth numbers that belong between them and are not on the scan; empty for true neighbours. */
  readonly between: readonly ToothNumber[];
}

/**
 * The neighbouring pairs of an arch from the patient's right to left. A pair with a tooth number between its two
 * teeth is an edentulous site, not a contact; a third molar that is absent ends the row and makes no pair.
 *
 * @param present - teeth found on the scan
 */
export function neighbourPairs(jaw: Jaw, present: readonly ToothNumber[]): NeighbourPair[] {
  const order = archOrder(jaw);
  const found = order.filter((tooth) => present.includes(tooth));
  const pairs: NeighbourPair[] = [];
  for (let i = 0; i + 1 < found.length; i += 1) {
    const toothA = found[i]!;
    const toothB = found[i + 1]!;
    pairs.push({ toothA, toothB, between: order.slice(order.indexOf(toothA) + 1, order.indexOf(toothB)) });
  }
  return pairs;
}
