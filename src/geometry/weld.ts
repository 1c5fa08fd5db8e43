import { ArchgapError } from './archgap-error.ts';
import { runAtOnce, type Steps } from './steps.ts';

/** An indexed mesh without repeated vertices or useless triangles, and what had to be done to get it. */
export interface WeldResult {
  /** (n x 3), the unit and frame of the input; every vertex is used by a triangle; no -0. */
  readonly positions: Float32Array;
  /** (m x 3), the corner order of the input kept. */
  readonly triangles: Uint32Array;
  /** (n x 3) RGB of the first of the merged vertices, or null when none were given. */
  readonly colors: Uint8Array | null;
  /** Vertices that were the same point as an earlier one. */
  readonly mergedVertices: number;
  /** Distinct points that no remaining triangle uses. */
  readonly unusedVertices: number;
  /** Triangles with two equal corners, or whose corners lie exactly on one line. */
  readonly degenerateRemoved: number;
  /** Triangles with the three corners of an earlier one, in any order. */
  readonly duplicatesRemoved: number;
  /** Per vertex of the result: the first input vertex (or corner) at that point. */
  readonly vertexSource: Uint32Array;
  /** Per triangle of the result: its number in the input. */
  readonly triangleSource: Uint32Array;
}

/** Vertices or triangles handled between two pauses: about 20 ms of work. */
const CHUNK = 1 << 18;
/** The hash tables stay at most this full; more makes probe runs long, less misses the cache more often. */
const LARGEST_LOAD = 0.6;

/** -0 as a 32-bit float, read as an integer. */
const NEGATIVE_ZERO_BITS = -0x80000000;

/**
 * Open addressing on the raw bits of the points. Contributor note, roads not taken: string keys and a general
 * attribute-hashing merge take 1.2 and 1.4 s for 1,000,000 loose triangles where this takes about 0.2 s; a look back
 * at the last corners before the table gained nothing; a triangle table ordered by lowest vertex was a third faster
 * on files in scan order and half as slow again on shuffled ones.
 */
interface PointTable {
  slots: Int32Array;
  /** Bits of the distinct points found so far. */
  bits: Int32Array;
  first: Uint32Array;
  count: number;
}

function powerOfTwoAtLeast(n: number): number {
  let size = 16;
  while (size < n) size *= 2;
  return size;
}

function hashPoint(x: number, y: number, z: number): number {
  let h = Math.imul(x, 0x9e3779b1);
  h = Math.imul(h ^ (h >>> 15) ^ y, 0x85ebca77);
  h = Math.imul(h ^ (h >>> 13) ^ z, 0xc2b2ae3d);
  return h ^ (h >>> 16);
}

/** Equal bits must mean equal numbers: the bits of -0 become those of 0. */
function withoutNegativeZero(bits: number): number {
  return bits === NEGATIVE_ZERO_BITS ? 0 : bits;
}

function makePointTable(expected: number): PointTable {
  return {
    slots: new Int32Array(powerOfTwoAtLeast(expected / LARGEST_LOAD)),
    bits: new Int32Array(3 * expected),
    first: new Uint32Array(expected),
    count: 0,
  };
}

function growPoints(table: PointTable): void {
  const bits = new Int32Array(table.bits.length * 2);
  bits.set(table.bits);
  const first = new Uint32Array(table.first.length * 2);
  first.set(table.first);
  table.bits = bits;
  table.first = first;
}

function growSlots(table: PointTable): void {
  const slots = new Int32Array(table.slots.length * 2);
  const mask = slots.length - 1;
  const { bits, count } = table;
  for (let p = 0; p < count; p++) {
    let slot = hashPoint(bits[3 * p]!, bits[3 * p + 1]!, bits[3 * p + 2]!) & mask;
    while (slots[slot] !== 0) slot = (slot + 1) & mask;
    slots[slot] = p + 1;
  }
  table.slots = slots;
}

/** Gives the points `from` to `to` of `pointBits` their numbers in the table, adding those not seen before. */
function insertPoints(
  table: PointTable,
  pointBits: Int32Array,
  number: Uint32Array,
  from: number,
  to: number,
): void {
  for (let i = from; i < to; ) {
    if (table.count === table.first.length) growPoints(table);
    if (table.count + 1 > table.slots.length * LARGEST_LOAD) growSlots(table);
    const { slots, bits, first } = table;
    const mask = slots.length - 1;
    const room = Math.min(first.length, Math.floor(slots.length * LARGEST_LOAD));
    let count = table.count;
    for (; i < to && count < room; i++) {
      const x = withoutNegativeZero(pointBits[3 * i]!);
      const y = withoutNegativeZero(pointBits[3 * i + 1]!);
      const z = withoutNegativeZero(pointBits[3 * i + 2]!);
      let slot = hashPoint(x, y, z) & mask;
      for (;;) {
        const entry = slots[slot]!;
        if (entry === 0) {
          slots[slot] = count + 1;
          bits[3 * count] = x;
          bits[3 * count + 1] = y;
          bits[3 * count + 2] = z;
          first[count] = i;
          number[i] = count;
          count++;
          break;
        }
        const p = entry - 1;
        if (bits[3 * p] === x && bits[3 * p + 1] === y && bits[3 * p + 2] === z) {
          number[i] = p;
          break;
        }
        slot = (slot + 1) & mask;
      }
    }
    table.count = count;
  }
}

/** True when the three points lie on one line, decided by an exact zero of the double-precision cross product. */
function hasNoArea(p: Float32Array, a: number, b: number, c: number): boolean {
  const ux = p[3 * b]! - p[3 * a]!;
  const uy = p[3 * b + 1]! - p[3 * a + 1]!;
  const uz = p[3 * b + 2]! - p[3 * a + 2]!;
  const vx = p[3 * c]! - p[3 * a]!;
  const vy = p[3 * c + 1]! - p[3 * a + 1]!;
  const vz = p[3 * c + 2]! - p[3 * a + 2]!;
  return uy * vz - uz * vy === 0 && uz * vx - ux * vz === 0 && ux * vy - uy * vx === 0;
}

interface TriangleFilter {
  readonly kept: Uint32Array;
  readonly source: Uint32Array;
  readonly slots: Int32Array;
  count: number;
  degenerate: number;
  duplicates: number;
}

function isDuplicate(filter: TriangleFilter, a: number, b: number, c: number): boolean {
  const low = Math.min(a, b, c);
  const high = Math.max(a, b, c);
  const middle = a === low || a === high ? (b === low || b === high ? c : b) : a;
  const { slots, kept } = filter;
  const mask = slots.length - 1;
  let slot = hashPoint(low, middle, high) & mask;
  for (;;) {
    const entry = slots[slot]!;
    if (entry === 0) {
      slots[slot] = filter.count + 1;
      return false;
    }
    const t = 3 * (entry - 1);
    const p = kept[t]!;
    const q = kept[t + 1]!;
    const r = kept[t + 2]!;
    // Both triples have three different members, so two-way membership is equality of the sets.
    if (
      (p === low || p === middle || p === high) &&
      (q === low || q === middle || q === high) &&
      (r === low || r === middle || r === high)
    ) {
      return true;
    }
    slot = (slot + 1) & mask;
  }
}

function filterTriangles(
  filter: TriangleFilter,
  positions: Float32Array,
  triangles: Uint32Array,
  from: number,
  to: number,
): void {
  for (let t = from; t < to; t++) {
    const a = triangles[3 * t]!;
    const b = triangles[3 * t + 1]!;
    const c = triangles[3 * t + 2]!;
    if (a === b || b === c || c === a || hasNoArea(positions, a, b, c)) {
      filter.degenerate++;
    } else if (isDuplicate(filter, a, b, c)) {
      filter.duplicates++;
    } else {
      const at = 3 * filter.count;
      filter.kept[at] = a;
      filter.kept[at + 1] = b;
      filter.kept[at + 2] = c;
      filter.source[filter.count++] = t;
    }
  }
}

interface CompactMesh {
  readonly positions: Float32Array;
  readonly triangles: Uint32Array;
  readonly first: Uint32Array;
}

/** Drops the points that no triangle uses; the others keep their order. */
function dropUnused(positions: Float32Array, triangles: Uint32Array, first: Uint32Array): CompactMesh {
  const count = first.length;
  const number = new Uint32Array(count);
  for (let i = 0; i < triangles.length; i++) number[triangles[i]!] = 1;
  let used = 0;
  for (let v = 0; v < count; v++) if (number[v] === 1) used++;
  if (used === count) return { positions: positions.slice(), triangles, first: first.slice() };
  const compact = new Float32Array(3 * used);
  const compactFirst = new Uint32Array(used);
  let at = 0;
  for (let v = 0; v < count; v++) {
    if (number[v] === 0) continue;
    compact[3 * at] = positions[3 * v]!;
    compact[3 * at + 1] = positions[3 * v + 1]!;
    compact[3 * at + 2] = positions[3 * v + 2]!;
    compactFirst[at] = first[v]!;
    number[v] = at++;
  }
  for (let i = 0; i < triangles.length; i++) triangles[i] = number[triangles[i]!]!;
  return { positions: compact, triangles, first: compactFirst };
}

function pickColors(colors: Uint8Array, source: Uint32Array): Uint8Array {
  const picked = new Uint8Array(3 * source.length);
  for (let v = 0; v < source.length; v++) {
    const from = 3 * source[v]!;
    picked[3 * v] = colors[from]!;
    picked[3 * v + 1] = colors[from + 1]!;
    picked[3 * v + 2] = colors[from + 2]!;
  }
  return picked;
}

/**
 * {@link weldIndexed} or, with `triangles` null, {@link weldSoup} as pausable work.
 *
 * @param positions - (n x 3) finite; not modified
 */
export function* weldInSteps(
  positions: Float32Array,
  triangles: Uint32Array | null,
  colors: Uint8Array | null,
): Steps<WeldResult> {
  const stage = 'Joining equal vertices';
  const vertexCount = positions.length / 3;
  const triangleCount = (triangles ?? positions).length / (triangles === null ? 9 : 3);

  // 1. Number the distinct points. A closed triangle mesh has half as many vertices as triangles.
  const expected = triangles === null ? triangleCount * 0.52 : vertexCount;
  const pointBits = new Int32Array(positions.buffer, positions.byteOffset, positions.length);
  const table = makePointTable(Math.max(16, Math.ceil(expected)));
  const number = new Uint32Array(vertexCount);
  for (let from = 0; from < vertexCount; from += CHUNK) {
    insertPoints(table, pointBits, number, from, Math.min(from + CHUNK, vertexCount));
    yield { fraction: (0.6 * from) / vertexCount, stage };
  }
  const distinct = new Float32Array(table.bits.buffer, 0, 3 * table.count);
  const first = table.first.subarray(0, table.count);

  // 2. Drop triangles that carry no surface or repeat an earlier one.
  const numbered = triangles === null ? number : renumber(triangles, number);
  const filter: TriangleFilter = {
    kept: new Uint32Array(numbered.length),
    source: new Uint32Array(triangleCount),
    slots: new Int32Array(powerOfTwoAtLeast(triangleCount / LARGEST_LOAD)),
    count: 0,
    degenerate: 0,
    duplicates: 0,
  };
  for (let from = 0; from < triangleCount; from += CHUNK) {
    filterTriangles(filter, distinct, numbered, from, Math.min(from + CHUNK, triangleCount));
    yield { fraction: 0.6 + (0.35 * from) / triangleCount, stage: 'Removing useless triangles' };
  }

  // 3. Drop the points that are no longer used.
  const compact = dropUnused(distinct, filter.kept.slice(0, 3 * filter.count), first);
  return {
    positions: compact.positions,
    triangles: compact.triangles,
    colors: colors === null ? null : pickColors(colors, compact.first),
    mergedVertices: vertexCount - table.count,
    unusedVertices: table.count - compact.first.length,
    degenerateRemoved: filter.degenerate,
    duplicatesRemoved: filter.duplicates,
    vertexSource: compact.first,
    triangleSource: filter.source.slice(0, filter.count),
  };
}

function renumber(triangles: Uint32Array, number: Uint32Array): Uint32Array {
  const result = new Uint32Array(triangles.length);
  for (let i = 0; i < triangles.length; i++) {
    const vertex = triangles[i]!;
    if (vertex >= number.length) {
      const sentence = `Triangle ${Math.floor(i / 3)} names vertex ${vertex}, but there are only ${number.length}.`;
      throw new ArchgapError('internal', 'INDEX_OUT_OF_RANGE', sentence);
    }
    result[i] = number[vertex]!;
  }
  return result;
}

/**
 * Makes an indexed mesh of loose triangles: corners at exactly equal coordinates (0 equals -0) become one vertex;
 * degenerate and duplicate triangles and unused vertices are removed and counted. Vertices are numbered in order of
 * first use.
 *
 * @param corners - (3m x 3) corner positions, three in a row make a triangle; finite; not modified
 * @param colors - (3m x 3) RGB per corner
 */
export function weldSoup(corners: Float32Array, colors: Uint8Array | null = null): WeldResult {
  return runAtOnce(weldInSteps(corners, null, colors));
}

/**
 * The same for an indexed mesh: vertices at exactly equal coordinates become one. Vertices keep their order.
 *
 * @param positions - (n x 3) finite; not modified
 * @param triangles - (m x 3) indices below n; not modified
 * @param colors - (n x 3) RGB per vertex
 * @throws ArchgapError internal `INDEX_OUT_OF_RANGE`
 */
export function weldIndexed(
  positions: Float32Array,
  triangles: Uint32Array,
  colors: Uint8Array | null = null,
): WeldResult {
  return runAtOnce(weldInSteps(positions, triangles, colors));
}
