import { mortonOrder } from './morton-order.ts';
import type { TriangleMesh } from './types.ts';

/**
 * A tree of boxes over triangles in the very layout that three-mesh-bvh walks (its serialized form, version 1):
 * 32 bytes a node, depth first, so that a left child follows its parent. Six 32-bit floats (least, then greatest
 * x, y, z); then, of a leaf, its first triangle, its number of triangles (16 bits) and 0xffff; of an inner node, how
 * many nodes after it the right child stands and the axis of the split (0 to 2).
 */
export interface TriangleTree {
  /** Nodes, 32 bytes each. */
  readonly nodes: ArrayBuffer;
  /** Triangle numbers of the mesh, leaf by leaf. */
  readonly order: Uint32Array;
}

const NODE_BYTES = 32;
export const NODE_WORDS = NODE_BYTES / 4;
/** Words of a node that are known before the boxes. */
const SHAPE_WORDS = 2;
/** Upper half of the last word of a leaf. */
export const LEAF_FLAG = 0xffff;
/** More do not fit the 16 bits of a leaf; far more than any sensible leaf. */
const LARGEST_LEAF = 0xffff;
/** Levels a subtree below all 30 bits of the codes can add: halving 2^32 triangles of one code. */
const DEEPEST = 30 + 32;

/**
 * Builds the tree in Morton order: triangles sorted along a space-filling curve, every node split where the highest
 * bit of the codes changes (C. Lauterbach and others, Fast BVH construction on GPUs, Computer Graphics Forum 28 (2009)
 * 375-384), or in the middle where all codes are equal; boxes from the leaves upwards. A third of the time of
 * three-mesh-bvh's own fastest build, for boxes about as tight; where a tree is asked millions of times, its SAH build
 * may pay.
 *
 * @param mesh - finite; not modified
 * @param leafTriangles - a node of so many triangles or fewer is not split
 * @param subset - triangle numbers, at least one; all when left out
 */
export function buildTriangleTree(
  mesh: TriangleMesh,
  leafTriangles: number,
  subset?: Uint32Array,
): TriangleTree {
  const { order, codes } = mortonOrder(mesh, subset);
  const shape = new Uint32Array(SHAPE_WORDS * Math.max(1, 2 * order.length - 1));
  const count = writeShape(codes, shape, Math.min(leafTriangles, LARGEST_LEAF));
  const nodes = new ArrayBuffer(NODE_BYTES * count);
  fillNodes(mesh.positions, mesh.triangles, order, shape, nodes);
  return { nodes, order };
}

/** Splits from the root down; writes the last two words of every node and returns their number. */
function writeShape(codes: Uint32Array, shape: Uint32Array, leafTriangles: number): number {
  // Right children not yet written: their range of triangles, and the parent that waits for their place.
  const start = new Int32Array(DEEPEST);
  const stop = new Int32Array(DEEPEST);
  const parent = new Int32Array(DEEPEST);
  let open = 0;
  let count = 0;
  let from = 0;
  let to = codes.length;
  for (;;) {
    const node = count++;
    const at = node * SHAPE_WORDS;
    if (to - from > leafTriangles) {
      const middle = middleOf(codes, from, to);
      // x has the highest of every three bits.
      shape[at + 1] = 2 - (highestChange(codes, from, to) % 3);
      start[open] = middle;
      stop[open] = to;
      parent[open++] = node;
      to = middle;
      continue;
    }
    shape[at] = from;
    shape[at + 1] = ((LEAF_FLAG << 16) | (to - from)) >>> 0;
    if (open === 0) return count;
    from = start[--open]!;
    to = stop[open]!;
    shape[parent[open]! * SHAPE_WORDS] = count - parent[open]!;
  }
}

/** The highest bit in which the codes of a range differ; 2 where they do not. */
function highestChange(codes: Uint32Array, from: number, to: number): number {
  const change = codes[from]! ^ codes[to - 1]!;
  return change === 0 ? 2 : 31 - Math.clz32(change);
}

/** The first place whose code has the highest changing bit set. */
function middleOf(codes: Uint32Array, from: number, to: number): number {
  if (codes[from] === codes[to - 1]) return (from + to) >>> 1;
  const bit = 1 << highestChange(codes, from, to);
  let low = from;
  let high = to - 1;
  while (high - low > 1) {
    const middle = (low + high) >>> 1;
    if ((codes[middle]! & bit) === 0) low = middle;
    else high = middle;
  }
  return high;
}

const LEAST_RANK = -0x80000000;
const GREATEST_RANK = 0x7fffffff;

/**
 * Bits of a 32-bit float as an integer that is the greater the greater the number is; of that integer, the bits again.
 * (All bits but the sign are turned over in negative numbers.)
 */
function rankOfBits(bits: number): number {
  return bits ^ ((bits >> 31) & 0x7fffffff);
}

/** The lesser of two integers, without a branch: among the corners of a leaf it would be guessed wrong half the time. */
function lesser(a: number, b: number): number {
  return b ^ ((a ^ b) & -Number(a < b));
}

function greater(a: number, b: number): number {
  return b ^ ((a ^ b) & -Number(a > b));
}

/** Places of the first coordinates of a leaf's corners: three a triangle at most, and one to make their number even. */
const corners = new Int32Array(3 * LARGEST_LEAF + 1);

/**
 * Collects where the coordinates of a leaf's corners begin, without those that the triangle before has, too: most
 * triangles of a leaf follow a neighbour. A corner that is left out is written and overwritten by the next one, without
 * a branch, which would be guessed wrong as often as not.
 *
 * @returns how many there are
 */
function collectCorners(triangles: Uint32Array, order: Uint32Array, from: number, to: number): number {
  let count = 0;
  let p = -1;
  let q = -1;
  let r = -1;
  // Math.imul and | 0 keep the engine to whole numbers of 32 bits, without a check that they are.
  for (let i = from; i < to; i++) {
    const at = Math.imul(3, order[i]!);
    const a = triangles[at]! | 0;
    const b = triangles[(at + 1) | 0]! | 0;
    const c = triangles[(at + 2) | 0]! | 0;
    corners[count] = Math.imul(3, a);
    count = (count + (Number(a !== p) & Number(a !== q) & Number(a !== r))) | 0;
    corners[count] = Math.imul(3, b);
    count = (count + (Number(b !== p) & Number(b !== q) & Number(b !== r))) | 0;
    corners[count] = Math.imul(3, c);
    count = (count + (Number(c !== p) & Number(c !== q) & Number(c !== r))) | 0;
    p = a;
    q = b;
    r = c;
  }
  return count;
}

/**
 * Least and greatest coordinate of the corners along one axis: an axis at a time, so that both stay in registers. Of
 * every two corners only the lesser one can be the least and only the greater one the greatest.
 *
 * @param count - even
 */
function spanCorners(bits: Int32Array, count: number, axis: number, words: Int32Array, node: number): void {
  let low = GREATEST_RANK;
  let high = LEAST_RANK;
  for (let i = 0; i < count; i = (i + 2) | 0) {
    const a = rankOfBits(bits[(corners[i]! + axis) | 0]!);
    const b = rankOfBits(bits[(corners[(i + 1) | 0]! + axis) | 0]!);
    const swap = (a ^ b) & -Number(a < b);
    low = lesser(b ^ swap, low);
    high = greater(a ^ swap, high);
  }
  words[node + axis] = rankOfBits(low);
  words[node + axis + 3] = rankOfBits(high);
}

/** The box round two boxes, by ranks as in the leaves: which of two is less is a guess here, too. */
function uniteBoxes(words: Int32Array, node: number, left: number, right: number): void {
  for (let k = 0; k < 3; k++) {
    words[node + k] = rankOfBits(lesser(rankOfBits(words[left + k]!), rankOfBits(words[right + k]!)));
    words[node + 3 + k] = rankOfBits(
      greater(rankOfBits(words[left + 3 + k]!), rankOfBits(words[right + 3 + k]!)),
    );
  }
}

/** Boxes of the leaves from their triangles, by the floats' bits; of the others from their children, which come after. */
function fillNodes(
  positions: Float32Array,
  triangles: Uint32Array,
  order: Uint32Array,
  shape: Uint32Array,
  nodes: ArrayBuffer,
): void {
  const words = new Int32Array(nodes);
  const bits = new Int32Array(positions.buffer, positions.byteOffset, positions.length);
  for (let node = words.length / NODE_WORDS - 1; node >= 0; node--) {
    const at = node * NODE_WORDS;
    const first = shape[SHAPE_WORDS * node]!;
    const last = shape[SHAPE_WORDS * node + 1]!;
    words[at + 6] = first;
    words[at + 7] = last;
    if (last >>> 16 === LEAF_FLAG) {
      const count = collectCorners(triangles, order, first, first + (last & 0xffff));
      corners[count] = corners[0]!;
      const even = (count + 1) & -2;
      for (let axis = 0; axis < 3; axis++) spanCorners(bits, even, axis, words, at);
    } else {
      uniteBoxes(words, at, at + NODE_WORDS, at + first * NODE_WORDS);
    }
  }
}
