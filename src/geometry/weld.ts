import { ArchgapError } from './archgap-error.ts';
import { letGo } from './let-go.ts';
import {
  distinctPoints,
  hashThree,
  makePointTable,
  numberPoints,
  powerOfTwoAtLeast,
  recordsOf,
} from './point-table.ts';
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

/** What is welded. */
export interface WeldInput {
  /** (n x 3) finite; not modified. */
  readonly positions: Float32Array;
  /** (m x 3) indices below n, taken over: rewritten in place; null when every three positions are a triangle. */
  readonly triangles: Uint32Array | null;
  /** (n x 3) RGB per position. */
  readonly colors: Uint8Array | null;
  /**
   * Given when corners were joined before: the corner at which each position was met first. `triangles` is then as
   * long as the corners, every position is one of theirs, and `positions` are taken over, too.
   */
  readonly firstCorner?: Uint32Array;
  /** No two positions are equal, and none has a -0 (then they are not looked at again). */
  readonly isDistinct?: boolean;
}

/** Vertices or triangles handled between two pauses: about 20 ms of work. */
const CHUNK = 1 << 18;
/** A closed triangle mesh has half as many vertices as triangles; an open one a few more. */
export const VERTICES_PER_TRIANGLE = 0.52;

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

/**
 * Triangles kept so far, found again by their corners: chains of triangles with equal keys. The key is the sum of the
 * corners' numbers, so that neighbours in the file, which have near numbers, lie near one another in memory: twice as
 * fast as a hash on files in scan order. Sums can be made to agree; once the chains have been walked too long, the
 * keys are hashes.
 */
interface TriangleFilter {
  /** (m x 3), filtered in place: those kept come first. */
  readonly triangles: Uint32Array;
  readonly source: Uint32Array;
  /** Per key, the triangle kept last, counted from 1; 0 for none. */
  readonly head: Int32Array;
  /** Per triangle kept, the one with the same key that was kept before it. */
  readonly next: Int32Array;
  isHashed: boolean;
  /** Links followed with sums as keys. */
  walked: number;
  count: number;
  degenerate: number;
  duplicates: number;
}

/** Links followed per triangle before the keys become hashes; meshes in the wild need about one. */
const LONGEST_WALK = 16;
/** Triangles' worth of links that may be followed before that is judged. */
const FIRST_WALKS = 1000;

function makeFilter(triangles: Uint32Array): TriangleFilter {
  const count = triangles.length / 3;
  return {
    triangles,
    source: new Uint32Array(count),
    head: new Int32Array(powerOfTwoAtLeast(count)),
    next: new Int32Array(count),
    isHashed: false,
    walked: 0,
    count: 0,
    degenerate: 0,
    duplicates: 0,
  };
}

function sortedHash(a: number, b: number, c: number): number {
  const low = Math.min(a, b, c);
  const high = Math.max(a, b, c);
  return hashThree(low, a ^ b ^ c ^ low ^ high, high);
}

/** Keys become hashes, for all that were kept, too. */
function rehash(filter: TriangleFilter): void {
  const { triangles, head, next } = filter;
  filter.isHashed = true;
  head.fill(0);
  for (let t = 0; t < filter.count; t++) {
    const key =
      sortedHash(triangles[3 * t]!, triangles[3 * t + 1]!, triangles[3 * t + 2]!) & (head.length - 1);
    next[t] = head[key]!;
    head[key] = t + 1;
  }
}

/**
 * Whether a triangle of these corners was kept before.
 * @param entry - the last one kept with the same key, counted from 1; 0 for none
 * @param filter - how many links were followed is added to it
 */
function isDuplicate(filter: TriangleFilter, entry: number, a: number, b: number, c: number): boolean {
  const { triangles, next } = filter;
  let walked = 0;
  let found = false;
  for (let link = entry; link !== 0 && !found; link = next[(link - 1) | 0]!) {
    walked = (walked + 1) | 0;
    const t = Math.imul(3, link - 1);
    const p = triangles[t]!;
    const q = triangles[(t + 1) | 0]!;
    const r = triangles[(t + 2) | 0]!;
    // Both triples have three different members, so two-way membership is equality of the sets.
    found =
      (p === a || p === b || p === c) && (q === a || q === b || q === c) && (r === a || r === b || r === c);
  }
  filter.walked += walked;
  return found;
}

/** The counts lie in variables of the function while it runs: written to the filter they would be read again each time. */
function filterTriangles(filter: TriangleFilter, positions: Float32Array, from: number, to: number): void {
  const { triangles, source, head, next } = filter;
  const mask = head.length - 1;
  let count = filter.count;
  for (let t = from; t < to; t++) {
    const i = Math.imul(3, t);
    const a = triangles[i]!;
    const b = triangles[(i + 1) | 0]!;
    const c = triangles[(i + 2) | 0]!;
    if (a === b || b === c || c === a || hasNoArea(positions, a, b, c)) {
      filter.degenerate++;
      continue;
    }
    const key = (filter.isHashed ? sortedHash(a, b, c) : a + b + c) & mask;
    const before = head[key]!;
    if (before !== 0 && isDuplicate(filter, before, a, b, c)) {
      filter.duplicates++;
    } else {
      next[count] = before;
      const at = Math.imul(3, count);
      triangles[at] = a;
      triangles[(at + 1) | 0] = b;
      triangles[(at + 2) | 0] = c;
      source[count] = t;
      count = (count + 1) | 0;
      head[key] = count;
    }
    if (!filter.isHashed && filter.walked > LONGEST_WALK * (t + FIRST_WALKS)) {
      filter.count = count;
      rehash(filter);
    }
  }
  filter.count = count;
}

/** The positions that triangles use, in their order, and where each of them was. */
interface UsedPoints {
  readonly positions: Float32Array;
  readonly source: Uint32Array;
}

/** Drops the positions that no triangle uses; the others keep their order. Renumbers the triangles. */
function dropUnused(positions: Float32Array, triangles: Uint32Array): UsedPoints {
  const count = positions.length / 3;
  const number = new Uint32Array(count);
  for (let i = 0; i < triangles.length; i++) number[triangles[i]!] = 1;
  let used = 0;
  for (let v = 0; v < count; v++) if (number[v] === 1) used++;
  const source = new Uint32Array(used);
  const compact = used === count ? positions.slice() : new Float32Array(3 * used);
  let at = 0;
  for (let v = 0; v < count; v++) {
    if (number[v] === 0) continue;
    source[at] = v;
    number[v] = at++;
  }
  if (used === count) return { positions: compact, source };
  for (let v = 0; v < used; v++) {
    const from = 3 * source[v]!;
    compact[3 * v] = positions[from]!;
    compact[3 * v + 1] = positions[from + 1]!;
    compact[3 * v + 2] = positions[from + 2]!;
  }
  for (let i = 0; i < triangles.length; i++) triangles[i] = number[triangles[i]!]!;
  return { positions: compact, source };
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

/** A buffer this many times what is used of it is not kept for the sake of the copy that is saved. */
const MOST_SPARE_ROOM = 1.1;

/** The same values, in a buffer of their own where the one they lie in has much room that nobody uses. */
function withoutSpareRoom<Values extends Float32Array | Uint32Array>(values: Values): Values {
  return values.buffer.byteLength > MOST_SPARE_ROOM * values.byteLength ? (values.slice() as Values) : values;
}

/** The entries of `values` at `places`; `places` itself without values. */
function at(values: Uint32Array | undefined, places: Uint32Array): Uint32Array {
  return values === undefined ? places : places.map((place) => values[place]!);
}

/** {@link weldIndexed} or, with `triangles` null, {@link weldSoup} as pausable work. */
export function* weldInSteps(input: WeldInput): Steps<WeldResult> {
  const stage = 'Joining equal vertices';
  const { positions, colors, firstCorner, isDistinct = false } = input;
  const vertexCount = positions.length / 3;
  const triangleCount = (input.triangles ?? positions).length / (input.triangles === null ? 9 : 3);

  // 1. Number the distinct points.
  let points = positions;
  let first: Uint32Array | undefined;
  let triangles = input.triangles ?? new Uint32Array(vertexCount);
  if (!isDistinct) {
    const table = makePointTable(
      input.triangles === null ? triangleCount * VERTICES_PER_TRIANGLE : vertexCount,
    );
    const number = input.triangles === null ? triangles : new Uint32Array(vertexCount);
    const records = recordsOf(positions);
    for (let from = 0; from < vertexCount; from += CHUNK) {
      numberPoints(table, records, number, from, Math.min(from + CHUNK, vertexCount));
      yield { fraction: (0.6 * from) / vertexCount, stage };
    }
    points = distinctPoints(table);
    first = table.first;
    if (input.triangles !== null) renumber(triangles, number);
  }

  // 2. Drop triangles that carry no surface or repeat an earlier one.
  const filter = makeFilter(triangles);
  for (let from = 0; from < triangleCount; from += CHUNK) {
    filterTriangles(filter, points, from, Math.min(from + CHUNK, triangleCount));
    yield { fraction: 0.6 + (0.35 * from) / triangleCount, stage: 'Removing useless triangles' };
  }
  letGo(filter.head, filter.next);
  if (filter.count < triangleCount) triangles = triangles.slice(0, 3 * filter.count);

  // 3. Drop the points that are not used.
  if (firstCorner && isDistinct && colors === null && filter.count === triangleCount) {
    return {
      positions: withoutSpareRoom(points),
      triangles,
      colors,
      mergedVertices: 3 * triangleCount - vertexCount,
      unusedVertices: 0,
      degenerateRemoved: 0,
      duplicatesRemoved: 0,
      vertexSource: withoutSpareRoom(firstCorner),
      triangleSource: filter.source,
    };
  }
  const used = dropUnused(points, triangles);
  const source = at(first, used.source);
  return {
    positions: used.positions,
    triangles,
    colors: colors === null ? null : pickColors(colors, source),
    mergedVertices: (firstCorner ? 3 * triangleCount : vertexCount) - points.length / 3,
    unusedVertices: points.length / 3 - used.source.length,
    degenerateRemoved: filter.degenerate,
    duplicatesRemoved: filter.duplicates,
    vertexSource: at(firstCorner, source),
    triangleSource: filter.count < triangleCount ? filter.source.slice(0, filter.count) : filter.source,
  };
}

/** Puts the numbers of the joined vertices into the triangles, in place. */
function renumber(triangles: Uint32Array, number: Uint32Array): void {
  for (let i = 0; i < triangles.length; i++) {
    const vertex = triangles[i]!;
    if (vertex >= number.length) {
      const sentence = `Triangle ${Math.floor(i / 3)} names vertex ${vertex}, but there are only ${number.length}.`;
      throw new ArchgapError('internal', 'INDEX_OUT_OF_RANGE', sentence);
    }
    triangles[i] = number[vertex]!;
  }
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
  return runAtOnce(weldInSteps({ positions: corners, triangles: null, colors }));
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
  return runAtOnce(weldInSteps({ positions, triangles: triangles.slice(), colors }));
}
