import type { TriangleMesh } from './types.ts';

/** Triangles along a space-filling curve. */
export interface MortonOrder {
  /** Triangle numbers of the mesh in the order of their codes, equal codes in the order given. */
  readonly order: Uint32Array;
  /** The code of each, rising: bits of x, y and z of the centroid's cell in turn, x highest. */
  readonly codes: Uint32Array;
}

/** Cells along each axis of the box round all centroids: 10 bits each, so that a code fits 30. */
const CELLS = 1024;
const CODE_BITS = 30;
/** The codes are parted by their highest bits first; a part of them lies in the cache while it is sorted. */
const TOP_BITS = 12;
const TOP_SHIFT = CODE_BITS - TOP_BITS;
/** The other bits are sorted by in two digits. */
const DIGIT_BITS = TOP_SHIFT / 2;
const BUCKETS = 1 << DIGIT_BITS;
const DIGIT_MASK = BUCKETS - 1;
/** So few are sorted by insertion. */
const FEW = 48;

/** Spreads ten bits so that two empty ones follow each (G. M. Morton, IBM technical report, 1966; usual masks). */
function spread(cell: number): number {
  let x = cell & 0x3ff;
  x = (x | (x << 16)) & 0x30000ff;
  x = (x | (x << 8)) & 0x300f00f;
  x = (x | (x << 4)) & 0x30c30c3;
  return (x | (x << 2)) & 0x9249249;
}

const SPREAD = Uint32Array.from({ length: CELLS }, (_, cell) => spread(cell));

/**
 * Sorts triangles by the Morton code of their centroids, by a radix sort from the highest bits: linear in their number.
 *
 * @param mesh - finite; not modified
 * @param subset - triangle numbers; all when left out
 */
export function mortonOrder(mesh: TriangleMesh, subset?: Uint32Array): MortonOrder {
  const count = subset?.length ?? mesh.triangles.length / 3;
  const codes = new Uint32Array(count);
  const ends = new Uint32Array(1 << TOP_BITS);
  encode(mesh.positions, mesh.triangles, subset, codes, ends);
  const largest = ends.reduce((most, size) => Math.max(most, size), 0);
  toStarts(ends);
  const sorted = { codes: new Uint32Array(count), order: new Uint32Array(count) };
  part(codes, subset, sorted.codes, sorted.order, ends);
  const aside = { codes: new Uint32Array(largest), order: new Uint32Array(largest) };
  let from = 0;
  for (const to of ends) {
    if (to - from > FEW) sortByDigits(sorted, aside, from, to);
    else sortByInsertion(sorted, from, to);
    from = to;
  }
  return sorted;
}

/** Sums of the corners instead of centroids: a third of them would be the same cells. */
function encode(
  positions: Float32Array,
  triangles: Uint32Array,
  subset: Uint32Array | undefined,
  codes: Uint32Array,
  tops: Uint32Array,
): void {
  const count = codes.length;
  let [lowX, lowY, lowZ] = [Infinity, Infinity, Infinity];
  let [highX, highY, highZ] = [-Infinity, -Infinity, -Infinity];
  const cornerCount = subset === undefined ? positions.length / 3 : 3 * count;
  for (let i = 0; i < cornerCount; i++) {
    const v = 3 * (subset === undefined ? i : triangles[3 * subset[(i / 3) | 0]! + (i % 3)]!);
    const x = positions[v]!;
    const y = positions[v + 1]!;
    const z = positions[v + 2]!;
    if (x < lowX) lowX = x;
    if (x > highX) highX = x;
    if (y < lowY) lowY = y;
    if (y > highY) highY = y;
    if (z < lowZ) lowZ = z;
    if (z > highZ) highZ = z;
  }
  // One scale for all axes keeps the cells cubes.
  const size = Math.max(highX - lowX, highY - lowY, highZ - lowZ);
  const scale = size > 0 ? (CELLS - 1) / (3 * size) : 0;
  const [x0, y0, z0] = [3 * lowX, 3 * lowY, 3 * lowZ];
  for (let i = 0; i < count; i++) {
    const t = subset === undefined ? i : subset[i]!;
    const a = 3 * triangles[3 * t]!;
    const b = 3 * triangles[3 * t + 1]!;
    const c = 3 * triangles[3 * t + 2]!;
    const x = ((positions[a]! + positions[b]! + positions[c]! - x0) * scale) | 0;
    const y = ((positions[a + 1]! + positions[b + 1]! + positions[c + 1]! - y0) * scale) | 0;
    const z = ((positions[a + 2]! + positions[b + 2]! + positions[c + 2]! - z0) * scale) | 0;
    const code = (SPREAD[x]! << 2) | (SPREAD[y]! << 1) | SPREAD[z]!;
    codes[i] = code;
    tops[code >>> TOP_SHIFT]!++;
  }
}

/** Turns the number of members of each part into the place where it starts. */
function toStarts(counts: Uint32Array): void {
  let sum = 0;
  for (let k = 0; k < counts.length; k++) {
    const size = counts[k]!;
    counts[k] = sum;
    sum += size;
  }
}

/** Moves every triangle to its part by the highest bits; `starts` become the ends of the parts. */
function part(
  codes: Uint32Array,
  subset: Uint32Array | undefined,
  partedCodes: Uint32Array,
  partedOrder: Uint32Array,
  starts: Uint32Array,
): void {
  for (let i = 0; i < codes.length; i++) {
    const code = codes[i]!;
    const top = code >>> TOP_SHIFT;
    const at = starts[top]!;
    starts[top] = at + 1;
    partedCodes[at] = code;
    partedOrder[at] = subset === undefined ? i : subset[i]!;
  }
}

function sortByInsertion({ codes, order }: MortonOrder, from: number, to: number): void {
  for (let i = from + 1; i < to; i++) {
    const code = codes[i]!;
    const triangle = order[i]!;
    let at = i;
    for (; at > from && codes[at - 1]! > code; at--) {
      codes[at] = codes[at - 1]!;
      order[at] = order[at - 1]!;
    }
    codes[at] = code;
    order[at] = triangle;
  }
}

const lowStarts = new Uint32Array(BUCKETS);
const highStarts = new Uint32Array(BUCKETS);

/** Sorts what lies from `from` to `to` by its two digits, over to `aside` by the lower and back by the higher one. */
function sortByDigits(sorted: MortonOrder, aside: MortonOrder, from: number, to: number): void {
  const { codes, order } = sorted;
  const [asideCodes, asideOrder] = [aside.codes, aside.order];
  lowStarts.fill(0);
  highStarts.fill(0);
  for (let i = from; i < to; i++) {
    const code = codes[i]!;
    lowStarts[code & DIGIT_MASK]!++;
    highStarts[(code >>> DIGIT_BITS) & DIGIT_MASK]!++;
  }
  toStarts(lowStarts);
  toStarts(highStarts);
  for (let i = from; i < to; i++) {
    const code = codes[i]!;
    const digit = code & DIGIT_MASK;
    const at = lowStarts[digit]!;
    lowStarts[digit] = at + 1;
    asideCodes[at] = code;
    asideOrder[at] = order[i]!;
  }
  for (let i = 0; i < to - from; i++) {
    const code = asideCodes[i]!;
    const digit = (code >>> DIGIT_BITS) & DIGIT_MASK;
    const at = from + highStarts[digit]!;
    highStarts[digit]!++;
    codes[at] = code;
    order[at] = asideOrder[i]!;
  }
}
