import { IndexList } from '../geometry/index-list.ts';
import { letGo } from '../geometry/let-go.ts';
import type { ToothMap } from '../teeth/types.ts';
import { LEAST_GUM_PIECE_MM2 } from './tolerances.ts';

/** Connected pieces of equal label: number per triangle, and label, area and triangles of each piece. */
interface Pieces {
  readonly pieceOf: Int32Array;
  readonly label: number[];
  readonly areaMm2: number[];
}

function findPieces(labels: ToothMap, adjacency: Int32Array, areas: Float32Array): Pieces {
  const pieceOf = new Int32Array(labels.length).fill(-1);
  const label: number[] = [];
  const areaMm2: number[] = [];
  const stack = new IndexList();
  for (let seed = 0; seed < labels.length; seed += 1) {
    if (pieceOf[seed] !== -1) continue;
    const piece = label.length;
    label.push(labels[seed]!);
    areaMm2.push(0);
    stack.push(seed);
    pieceOf[seed] = piece;
    while (stack.length > 0) {
      const t = stack.pop();
      areaMm2[piece]! += areas[t]!;
      for (let k = 0; k < 3; k += 1) {
        const n = adjacency[3 * t + k]!;
        if (n >= 0 && pieceOf[n] === -1 && labels[n] === labels[t]) {
          pieceOf[n] = piece;
          stack.push(n);
        }
      }
    }
  }
  stack.letGo();
  return { pieceOf, label, areaMm2 };
}

/**
 * Keeps the largest connected piece of every tooth and the pieces of gum that are no specks; every other piece takes
 * the label of the kept piece it shares most edges with, or 0 when it touches none. An island of a tooth's label on
 * its neighbour's wall would otherwise be measured as a space of nothing, or pass for a web.
 *
 * @param labels - ISO 3950 number per triangle, not modified
 * @param adjacency - (m x 3) neighbour across each edge, -1 for none
 * @param areas - per triangle, mm^2
 */
export function cleanLabels(labels: ToothMap, adjacency: Int32Array, areas: Float32Array): ToothMap {
  const { pieceOf, label, areaMm2 } = findPieces(labels, adjacency, areas);
  const largest = new Map<number, number>();
  for (let p = 0; p < label.length; p += 1) {
    const known = largest.get(label[p]!);
    if (known === undefined || areaMm2[p]! > areaMm2[known]!) largest.set(label[p]!, p);
  }
  const kept = label.map((l, p) => largest.get(l) === p || (l === 0 && areaMm2[p]! >= LEAST_GUM_PIECE_MM2));
  const clean = labels.slice();
  // Pieces that touch only other islands are reached in later rounds, from the kept ones inwards.
  let settled = kept;
  for (;;) {
    const votes = new Map<number, Map<number, number>>();
    for (let t = 0; t < labels.length; t += 1) {
      const piece = pieceOf[t]!;
      if (settled[piece]) continue;
      for (let k = 0; k < 3; k += 1) {
        const n = adjacency[3 * t + k]!;
        if (n < 0 || !settled[pieceOf[n]!]) continue;
        const tally = votes.get(piece) ?? new Map<number, number>();
        tally.set(clean[n]!, (tally.get(clean[n]!) ?? 0) + 1);
        votes.set(piece, tally);
      }
    }
    if (votes.size === 0) break;
    const taken = new Map<number, number>();
    for (const [piece, tally] of votes) {
      let winner = 0;
      let most = 0;
      for (const [l, n] of tally) {
        if (n > most) {
          winner = l;
          most = n;
        }
      }
      taken.set(piece, winner);
    }
    for (let t = 0; t < labels.length; t += 1) {
      const l = taken.get(pieceOf[t]!);
      if (l !== undefined) clean[t] = l;
    }
    settled = settled.map((done, piece) => done || taken.has(piece));
  }
  for (let t = 0; t < labels.length; t += 1) if (!settled[pieceOf[t]!]) clean[t] = 0;
  letGo(pieceOf);
  return clean;
}
