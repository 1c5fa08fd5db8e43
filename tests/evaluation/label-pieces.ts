import type { ToothMap, ToothNumber } from '../../src/teeth/types.ts';

/** Number of connected pieces of every tooth's label. @param adjacency - from `faceAdjacency` */
export function labelPieces(adjacency: Int32Array, labels: ToothMap): ReadonlyMap<ToothNumber, number> {
  const pieces = new Map<ToothNumber, number>();
  const seen = new Uint8Array(labels.length);
  for (let seed = 0; seed < labels.length; seed += 1) {
    const tooth = labels[seed]!;
    if (tooth === 0 || seen[seed]) continue;
    pieces.set(tooth, (pieces.get(tooth) ?? 0) + 1);
    seen[seed] = 1;
    const front = [seed];
    for (let t = front.pop(); t !== undefined; t = front.pop()) {
      for (let half = 3 * t; half < 3 * t + 3; half += 1) {
        const n = adjacency[half]!;
        if (n < 0 || seen[n] || labels[n] !== tooth) continue;
        seen[n] = 1;
        front.push(n);
      }
    }
  }
  return pieces;
}
