/**
 * Distinct points by their exact coordinates, numbered in the order in which they were first met: open addressing on
 * the raw bits of 32-bit floats. Contributor note, roads not taken: string keys and a general attribute-hashing merge
 * take 1.2 and 1.4 s for 1,000,000 loose triangles where this takes less than 0.1 s; a search among the last corners
 * gained nothing, as its end cannot be guessed: the points met lately are looked at without a branch.
 */
export interface PointTable {
  /**
   * 0 where free, else two things in one: below the length, a distinct point's number plus one; above it, the bits of
   * its hash that do not choose the slot. Most of the foreign points on a way are so told off without a look at their
   * coordinates, which lie far from one another in memory.
   */
  slots: Int32Array;
  /** Bits of the distinct points found so far, three a point: their positions when read as floats. */
  bits: Int32Array;
  /** Per distinct point, the input point at which it was met first. */
  first: Uint32Array;
  /**
   * The numbers of points met lately, by the topmost bits of the hash, some of which the largest tables use for the
   * slot, too: small enough to stay in the nearest cache, where most corners of a scan find their point, as files go
   * along the surface. 0 where none is known, which is a point like any other: what stands here is never believed
   * without a look at the coordinates.
   */
  recent: Uint32Array;
  count: number;
}

/** Points of three 32-bit floats side by side, in records of equal length. */
export interface PointRecords {
  readonly view: DataView;
  readonly littleEndian: boolean;
  /** Offset of the first point of the first record; negative where the view begins with a later record. */
  readonly start: number;
  readonly recordBytes: number;
  /** Points that follow one another in every record, 12 bytes each. */
  readonly perRecord: number;
}

/** The table stays at most this full; more makes probe runs long, less misses the cache more often. */
const LARGEST_LOAD = 0.6;
/** Points that are looked up together: the waits for memory then overlap. A fifth of them is looked up in the slots. */
const BATCH = 96;
/** Entries of the table of recent points, 16 kB. */
const RECENT = 4096;
const RECENT_SHIFT = 20;
const POINT_BYTES = 12;
/** -0 as a 32-bit float, read as an integer. */
const NEGATIVE_ZERO_BITS = -0x80000000;
/** Byte order of the arrays of this machine. */
export const HOST_IS_LITTLE_ENDIAN = new Uint8Array(Uint32Array.of(1).buffer)[0] === 1;

/** Of the points of a batch that were not met lately: hash, slot's entry, and the number each got in the end. */
const batch = {
  hash: new Int32Array(BATCH),
  entry: new Int32Array(BATCH),
  number: new Uint32Array(BATCH),
};

/** The smallest power of two that is at least n, and at least 16. */
export function powerOfTwoAtLeast(n: number): number {
  let size = 16;
  while (size < n) size *= 2;
  return size;
}

/** Mixes three integers into one. */
export function hashThree(x: number, y: number, z: number): number {
  let h = Math.imul(x, 0x9e3779b1);
  h = Math.imul(h ^ (h >>> 15) ^ y, 0x85ebca77);
  h = Math.imul(h ^ (h >>> 13) ^ z, 0xc2b2ae3d);
  return h ^ (h >>> 16);
}

/** @param expected - distinct points; more are taken, too */
export function makePointTable(expected: number): PointTable {
  const room = Math.max(16, Math.ceil(expected));
  const slots = powerOfTwoAtLeast(room / LARGEST_LOAD);
  return {
    slots: new Int32Array(slots),
    bits: new Int32Array(3 * room),
    first: new Uint32Array(room),
    recent: new Uint32Array(Math.min(RECENT, slots)),
    count: 0,
  };
}

/** The distinct points found so far, (n x 3); shared with the table. */
export function distinctPoints(table: PointTable): Float32Array {
  return new Float32Array(table.bits.buffer, 0, 3 * table.count);
}

/** An array of coordinates as records of one point. */
export function recordsOf(positions: Float32Array): PointRecords {
  return {
    view: new DataView(positions.buffer, positions.byteOffset, positions.byteLength),
    littleEndian: HOST_IS_LITTLE_ENDIAN,
    start: 0,
    recordBytes: POINT_BYTES,
    perRecord: 1,
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
    const hash = hashThree(bits[3 * p]!, bits[3 * p + 1]!, bits[3 * p + 2]!);
    let slot = hash & mask;
    while (slots[slot] !== 0) slot = (slot + 1) & mask;
    slots[slot] = (hash & ~mask) | (p + 1);
  }
  table.slots = slots;
}

/**
 * Gives the points of the records `from` to `to` their numbers in the table, adding those not seen before; 0 and -0
 * are the same number, and no -0 is kept.
 *
 * @param number - (records x points per record), filled from the place of record `from`
 */
export function numberPoints(
  table: PointTable,
  records: PointRecords,
  number: Uint32Array,
  from: number,
  to: number,
): void {
  const step = Math.floor(BATCH / records.perRecord);
  for (let record = from; record < to; record += step) {
    const end = Math.min(record + step, to);
    const size = (end - record) * records.perRecord;
    // A batch may hold more points than a small table, so that doubling it once is not enough.
    while (table.count + size > table.first.length) growPoints(table);
    while (table.count + size > table.slots.length * LARGEST_LOAD) growSlots(table);
    const before = table.count;
    const left = recall(table, records, record, end, number);
    bringNear(table.slots, left);
    settle(table, left);
    if (table.count - before < left) {
      correct(number, before, record * records.perRecord, end * records.perRecord);
    }
  }
}

/**
 * Reads a batch, numbers the points met lately and takes all others for new ones, behind those of the table: what
 * `settle` has to look at. Most of them are new, and what follows in the batch finds them there already. Every point
 * is written down and overwritten by the next one where it was known: no branch, which would be guessed wrong at every
 * fifth point.
 *
 * @returns how many were taken for new
 */
function recall(
  { bits, first, recent, count }: PointTable,
  records: PointRecords,
  from: number,
  to: number,
  number: Uint32Array,
): number {
  const { view, littleEndian, start, recordBytes, perRecord } = records;
  const { hash } = batch;
  const mask = recent.length - 1;
  let next = count;
  let i = from * perRecord;
  for (let record = from; record < to; record++) {
    let at = start + record * recordBytes;
    for (let k = 0; k < perRecord; k++, i++, at += POINT_BYTES) {
      const a = withoutNegativeZero(view.getInt32(at, littleEndian));
      const b = withoutNegativeZero(view.getInt32(at + 4, littleEndian));
      const c = withoutNegativeZero(view.getInt32(at + 8, littleEndian));
      const h = hashThree(a, b, c);
      const entry = (h >>> RECENT_SHIFT) & mask;
      const p = recent[entry]! | 0;
      const q = Math.imul(3, p);
      const isNone = Number(next === 0);
      const differs = (bits[q]! ^ a) | (bits[(q + 1) | 0]! ^ b) | (bits[(q + 2) | 0]! ^ c) | isNone;
      const isNew = Number(differs !== 0);
      const n = p ^ ((p ^ next) & -isNew);
      const r = Math.imul(3, next);
      bits[r] = a;
      bits[(r + 1) | 0] = b;
      bits[(r + 2) | 0] = c;
      first[next] = i;
      hash[next - count] = h;
      recent[entry] = n;
      number[i] = n;
      next = (next + isNew) | 0;
    }
  }
  return next - count;
}

/** Reads the slots that the collected points fall on, only so that they are near; `settle` reads anew. */
function bringNear(slots: Int32Array, left: number): void {
  const { hash, entry } = batch;
  const mask = slots.length - 1;
  for (let i = 0; i < left; i++) entry[i] = slots[hash[i]! & mask]!;
}

/** Keeps those of the points behind the table that are new, and says what number each has. */
function settle(table: PointTable, left: number): void {
  const { slots, bits, first, recent } = table;
  const { hash, number } = batch;
  const mask = slots.length - 1;
  const recentMask = recent.length - 1;
  const before = table.count;
  let count = before;
  for (let i = 0; i < left; i++) {
    const from = Math.imul(3, before + i);
    const a = bits[from]!;
    const b = bits[(from + 1) | 0]!;
    const c = bits[(from + 2) | 0]!;
    const h = hash[i]!;
    let slot = h & mask;
    let found = -1;
    for (;;) {
      const entry = slots[slot]!;
      if (((entry ^ h) & ~mask) === 0 && entry !== 0) {
        const p = ((entry & mask) - 1) | 0;
        const q = Math.imul(3, p);
        if (((bits[q]! ^ a) | (bits[(q + 1) | 0]! ^ b) | (bits[(q + 2) | 0]! ^ c)) === 0) {
          found = p;
          break;
        }
      } else if (entry === 0) break;
      slot = (slot + 1) & mask;
    }
    if (found < 0) {
      const q = Math.imul(3, count);
      slots[slot] = (h & ~mask) | (count + 1);
      bits[q] = a;
      bits[(q + 1) | 0] = b;
      bits[(q + 2) | 0] = c;
      first[count] = first[before + i]!;
      found = count;
      count = (count + 1) | 0;
    }
    // Also so that no number that was only supposed stays among those met lately.
    recent[(h >>> RECENT_SHIFT) & recentMask] = found;
    number[i] = found;
  }
  table.count = count;
}

/** Where not all points taken for new ones were, numbers from `before` on were only supposed. */
function correct(number: Uint32Array, before: number, from: number, to: number): void {
  for (let i = from; i < to; i++) {
    const supposed = number[i]!;
    if (supposed >= before) number[i] = batch.number[supposed - before]!;
  }
}

/** Equal bits must mean equal numbers: the bits of -0 become those of 0. */
function withoutNegativeZero(bits: number): number {
  return bits === NEGATIVE_ZERO_BITS ? 0 : bits;
}
