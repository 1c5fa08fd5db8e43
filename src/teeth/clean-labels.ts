import { SEGMENT } from './segment-settings.ts';

/** The part of a graph that cleaning needs; rows as in `SurfaceGraph`. */
export interface CleanableGraph {
  readonly nodeCount: number;
  readonly start: Uint32Array;
  readonly target: Uint32Array;
  readonly lengthMm: Float32Array;
  readonly area: Float32Array;
}

/**
 * Makes labels one piece per tooth: pieces of a tooth that hold none of its clicks become gum; small gum islands that
 * no gum click claims go to the neighbour with the longest common border.
 *
 * @param labels - changed in place; 0 = gum
 * @param clicked - 1 = settled by a click: such a node never changes
 */
export function cleanLabels(graph: CleanableGraph, labels: Uint8Array, clicked: Uint8Array): void {
  const pieces = labelPieces(graph, labels, clicked);
  for (let i = 0; i < graph.nodeCount; i++) {
    if (labels[i] !== 0 && !pieces.clicked[pieces.of[i]!]) labels[i] = 0;
  }
  fillGumIslands(graph, labels, clicked);
}

interface Pieces {
  readonly of: Int32Array;
  readonly areaMm2: readonly number[];
  readonly clicked: readonly boolean[];
}

/** Connected pieces of equal label. */
function labelPieces(graph: CleanableGraph, labels: Uint8Array, clicked: Uint8Array): Pieces {
  const { nodeCount, start, target, area } = graph;
  const of = new Int32Array(nodeCount).fill(-1);
  const stack = new Int32Array(nodeCount);
  const areaMm2: number[] = [];
  const hasClick: boolean[] = [];
  for (let seed = 0; seed < nodeCount; seed++) {
    if (of[seed] !== -1) continue;
    const piece = areaMm2.length;
    let sum = 0;
    let claimed = false;
    let top = 0;
    stack[top++] = seed;
    of[seed] = piece;
    while (top > 0) {
      const i = stack[--top]!;
      sum += area[i]!;
      if (clicked[i]) claimed = true;
      for (let arc = start[i]!; arc < start[i + 1]!; arc++) {
        const j = target[arc]!;
        if (of[j] !== -1 || labels[j] !== labels[i]) continue;
        of[j] = piece;
        stack[top++] = j;
      }
    }
    areaMm2.push(sum);
    hasClick.push(claimed);
  }
  return { of, areaMm2, clicked: hasClick };
}

function fillGumIslands(graph: CleanableGraph, labels: Uint8Array, clicked: Uint8Array): void {
  const { nodeCount, start, target, lengthMm } = graph;
  const pieces = labelPieces(graph, labels, clicked);
  const small = (piece: number): boolean =>
    pieces.areaMm2[piece]! < SEGMENT.gumIslandMm2 && !pieces.clicked[piece]!;
  const borders = new Map<number, Map<number, number>>();
  for (let i = 0; i < nodeCount; i++) {
    if (labels[i] !== 0 || !small(pieces.of[i]!)) continue;
    const piece = pieces.of[i]!;
    let border = borders.get(piece);
    if (!border) {
      border = new Map();
      borders.set(piece, border);
    }
    for (let arc = start[i]!; arc < start[i + 1]!; arc++) {
      const there = labels[target[arc]!]!;
      if (there !== 0) border.set(there, (border.get(there) ?? 0) + lengthMm[arc]!);
    }
  }
  const heir = new Map<number, number>();
  for (const [piece, border] of borders) {
    let best = 0;
    let longest = 0;
    for (const [label, length] of border) {
      if (length > longest) {
        longest = length;
        best = label;
      }
    }
    heir.set(piece, best);
  }
  for (let i = 0; i < nodeCount; i++) {
    const label = heir.get(pieces.of[i]!);
    if (label !== undefined) labels[i] = label;
  }
}
