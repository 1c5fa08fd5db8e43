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
const DIGIT_BITS = 10;
const DIGITS = 3;
const BUCKETS = 1 << DIGIT_BITS;

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
 * Sorts triangles by the Morton code of their centroids, by three passes of radix sort: linear in their number.
 *
 * @param mesh - finite; not modified
 * @param subset - triangle numbers; all when left out
 */
export function mortonOrder(mesh: TriangleMesh, subset?: Uint32Array): MortonOrder {
  const count = subset?.length ?? mesh.triangles.length / 3;
  const codes = new Uint32Array(count);
  const order = new Uint32Array(count);
  const histograms = new Uint32Array(DIGITS * BUCKETS);
  encode(mesh, subset, codes, order, histograms);
  let from = { codes, order };
  let to = { codes: new Uint32Array(count), order: new Uint32Array(count) };
  for (let digit = 0; digit < DIGITS; digit++) {
    const starts = histograms.subarray(digit * BUCKETS, (digit + 1) * BUCKETS);
    if (!toStarts(starts, count)) continue;
    scatter(from, to, starts, digit * DIGIT_BITS);
    [from, to] = [to, from];
  }
  return from;
}

/** Sums of the corners instead of centroids: a third of them would be the same cells. */
function encode(
  { positions, triangles }: TriangleMesh,
  subset: Uint32Array | undefined,
  codes: Uint32Array,
  order: Uint32Array,
  histograms: Uint32Array,
): void {
  const count = order.length;
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
    order[i] = t;
    histograms[code & (BUCKETS - 1)]!++;
    histograms[BUCKETS + ((code >>> DIGIT_BITS) & (BUCKETS - 1))]!++;
    histograms[2 * BUCKETS + (code >>> (2 * DIGIT_BITS))]!++;
  }
}

/** Turns counts into starts; false when all fall into one bucket, and nothing has to be moved. */
function toStarts(counts: Uint32Array, total: number): boolean {
  let sum = 0;
  for (let bucket = 0; bucket < BUCKETS; bucket++) {
    const size = counts[bucket]!;
    if (size === total) return false;
    counts[bucket] = sum;
    sum += size;
  }
  return true;
}

function scatter(from: MortonOrder, to: MortonOrder, starts: Uint32Array, shift: number): void {
  const { codes, order } = from;
  const [sortedCodes, sortedOrder] = [to.codes, to.order];
  for (let i = 0; i < codes.length; i++) {
    const code = codes[i]!;
    const digit = (code >>> shift) & (BUCKETS - 1);
    const at = starts[digit]!;
    starts[digit] = at + 1;
    sortedCodes[at] = code;
    sortedOrder[at] = order[i]!;
  }
}
