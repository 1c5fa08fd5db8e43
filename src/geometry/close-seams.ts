import type { TriangleMesh, Vec3 } from './types.ts';
import { add, distance, scale, vertexAt } from './vec3.ts';

/**
 * Seams of a surface: places where it was cut apart, or cracked, and both sides still lie against each other. Along
 * some the ends of the edges face each other; those can be joined. Along others they do not.
 */
export interface Seams {
  /** Positions with the ends of facing edges in one place, halfway; the same array where there are none. */
  readonly positions: Float32Array;
  /** Pairs of open edges that face each other end by end. */
  readonly joinedPairs: number;
  /** The farthest that a point was moved, in the mesh's unit. */
  readonly farthestMove: number;
  /** Open edges that lie against another one with which they share no end, and face none end by end. */
  readonly crackEdges: number;
}

/** Ends of edges may lie apart by this share of the shorter edge, so that no triangle collapses when they are joined. */
const MOST_APART_SHARE = 0.25;
/** Edges of a seam run against each other: cosine of the angle between them. */
const AGAINST = -0.9;
/** Above this number of open edges the surface is a heap of loose triangles, in which nothing can be told. */
export const MOST_OPEN_EDGES = 200_000;

/** Open edges, each from one vertex to the next in the order of its triangle. */
interface OpenEdges {
  readonly count: number;
  /** Vertices: the first end of edge i at 2 i, the second one after it. */
  readonly vertices: Uint32Array;
  /** The same, as places. */
  readonly ends: Float64Array;
  readonly lengths: Float64Array;
}

/**
 * Finds the seams of a surface and puts the ends of facing edges in one place. Triangles stay as they are: joined
 * points are two equal ones, to be welded.
 *
 * @param mesh - not modified
 * @param adjacency - of it, from `edgeTopology`
 * @param reach - how far apart the sides of a seam may lie, in the mesh's unit
 */
export function closeSeams(mesh: TriangleMesh, adjacency: Int32Array, reach: number): Seams {
  const { positions } = mesh;
  const edges = openEdges(mesh, adjacency);
  const pairs = nearPairs(edges, reach);
  const partner = facingEdges(edges, pairs, reach);
  const crackEdges = countCracks(edges, pairs, partner, reach);
  const joinedPairs = partner.reduce((count, j, i) => (j > i ? count + 1 : count), 0);
  if (joinedPairs === 0) return { positions, joinedPairs, farthestMove: 0, crackEdges };
  return { ...joined(positions, edges, partner), joinedPairs, crackEdges };
}

/** None where there are more than can tell anything. */
function openEdges({ positions, triangles }: TriangleMesh, adjacency: Int32Array): OpenEdges {
  let count = 0;
  for (let h = 0; h < adjacency.length; h++) if (adjacency[h]! < 0) count++;
  if (count > MOST_OPEN_EDGES) count = 0;
  const vertices = new Uint32Array(2 * count);
  const ends = new Float64Array(6 * count);
  const lengths = new Float64Array(count);
  for (let h = 0, i = 0; i < count; h++) {
    if (adjacency[h]! >= 0) continue;
    vertices[2 * i] = triangles[h]!;
    vertices[2 * i + 1] = triangles[h % 3 === 2 ? h - 2 : h + 1]!;
    for (let c = 0; c < 3; c++) {
      ends[6 * i + c] = positions[3 * vertices[2 * i]! + c]!;
      ends[6 * i + 3 + c] = positions[3 * vertices[2 * i + 1]! + c]!;
    }
    lengths[i] = apart(ends, 2 * i, 2 * i + 1);
    i++;
  }
  return { count, vertices, ends, lengths };
}

/** Distance of two of the ends. */
function apart(ends: Float64Array, p: number, q: number): number {
  return Math.hypot(
    ends[3 * p]! - ends[3 * q]!,
    ends[3 * p + 1]! - ends[3 * q + 1]!,
    ends[3 * p + 2]! - ends[3 * q + 2]!,
  );
}

/** Pairs of edges that may lie against each other: i and j, one after the other. */
function nearPairs({ count, ends, lengths }: OpenEdges, reach: number): number[] {
  const usual = lengths.slice().sort()[count >> 1] ?? 0;
  const most = reach + usual;
  const middles = new Float64Array(3 * count);
  for (let i = 0; i < count; i++) {
    for (let c = 0; c < 3; c++) middles[3 * i + c] = (ends[6 * i + c]! + ends[6 * i + 3 + c]!) / 2;
  }
  // Along the axis on which they lie widest apart only few are near.
  const axis = widestAxis(middles);
  const order = Uint32Array.from({ length: count }, (_, i) => i).sort(
    (i, j) => middles[3 * i + axis]! - middles[3 * j + axis]!,
  );
  const pairs: number[] = [];
  for (let k = 0; k < count; k++) {
    const i = order[k]!;
    for (let l = k + 1; l < count; l++) {
      const j = order[l]!;
      if (middles[3 * j + axis]! - middles[3 * i + axis]! > most) break;
      if (apart(middles, i, j) <= most) pairs.push(i, j);
    }
  }
  return pairs;
}

function widestAxis(points: Float64Array): number {
  const low = [0, 0, 0].fill(Number.POSITIVE_INFINITY);
  const high = [0, 0, 0].fill(Number.NEGATIVE_INFINITY);
  for (let i = 0; i < points.length; i++) {
    low[i % 3] = Math.min(low[i % 3]!, points[i]!);
    high[i % 3] = Math.max(high[i % 3]!, points[i]!);
  }
  const extents = high.map((most, c) => most - low[c]!);
  return extents.indexOf(Math.max(...extents));
}

/** @returns per edge, the one that faces it end by end and has no nearer one itself; -1 = none */
function facingEdges(
  { count, vertices, ends, lengths }: OpenEdges,
  pairs: readonly number[],
  reach: number,
): Int32Array {
  const nearest = new Int32Array(count).fill(-1);
  const least = new Float64Array(count).fill(Number.POSITIVE_INFINITY);
  for (let k = 0; k < pairs.length; k += 2) {
    const i = pairs[k]!;
    const j = pairs[k + 1]!;
    // Sides that meet in a point close by what comes beside them, or are those of one sliver.
    if (vertices[2 * i] === vertices[2 * j + 1] || vertices[2 * i + 1] === vertices[2 * j]) continue;
    const far = Math.max(apart(ends, 2 * i, 2 * j + 1), apart(ends, 2 * i + 1, 2 * j));
    if (far > Math.min(reach, MOST_APART_SHARE * Math.min(lengths[i]!, lengths[j]!))) continue;
    if (far < least[i]!) [nearest[i], least[i]] = [j, far];
    if (far < least[j]!) [nearest[j], least[j]] = [i, far];
  }
  return nearest.map((j, i) => (j >= 0 && nearest[j] === i ? j : -1));
}

/** How many edges without a partner lie against another such one with which they share no end. */
function countCracks(edges: OpenEdges, pairs: readonly number[], partner: Int32Array, reach: number): number {
  const cracked = new Uint8Array(edges.count);
  for (let k = 0; k < pairs.length; k += 2) {
    const i = pairs[k]!;
    const j = pairs[k + 1]!;
    if (partner[i]! >= 0 || partner[j]! >= 0 || shareEnd(edges, i, j) || !runAgainst(edges, i, j)) continue;
    if (liesOn(edges, i, j, reach)) cracked[i] = 1;
    if (liesOn(edges, j, i, reach)) cracked[j] = 1;
  }
  return cracked.reduce((count, is) => count + is, 0);
}

function shareEnd({ vertices }: OpenEdges, i: number, j: number): boolean {
  const [a, b] = [vertices[2 * i], vertices[2 * i + 1]];
  return [vertices[2 * j], vertices[2 * j + 1]].some((end) => end === a || end === b);
}

function runAgainst({ ends, lengths }: OpenEdges, i: number, j: number): boolean {
  let dot = 0;
  for (let c = 0; c < 3; c++) {
    dot += (ends[6 * i + 3 + c]! - ends[6 * i + c]!) * (ends[6 * j + 3 + c]! - ends[6 * j + c]!);
  }
  return dot <= AGAINST * lengths[i]! * lengths[j]!;
}

/** Whether the middle of edge i lies against edge j. */
function liesOn({ ends, lengths }: OpenEdges, i: number, j: number, reach: number): boolean {
  let along = 0;
  for (let c = 0; c < 3; c++) {
    const toMiddle = (ends[6 * i + c]! + ends[6 * i + 3 + c]!) / 2 - ends[6 * j + c]!;
    along += toMiddle * (ends[6 * j + 3 + c]! - ends[6 * j + c]!);
  }
  const share = lengths[j]! === 0 ? 0 : Math.max(0, Math.min(1, along / lengths[j]! ** 2));
  let squared = 0;
  for (let c = 0; c < 3; c++) {
    const foot = ends[6 * j + c]! + share * (ends[6 * j + 3 + c]! - ends[6 * j + c]!);
    squared += ((ends[6 * i + c]! + ends[6 * i + 3 + c]!) / 2 - foot) ** 2;
  }
  return Math.sqrt(squared) <= Math.min(reach, MOST_APART_SHARE * lengths[i]!);
}

/** All points that face each other, directly or by a third one, halfway between them. */
function joined(
  positions: Float32Array,
  { vertices }: OpenEdges,
  partner: Int32Array,
): Pick<Seams, 'positions' | 'farthestMove'> {
  const groupOf = new Map<number, number[]>();
  const join = (p: number, q: number): void => {
    const mine = groupOf.get(p) ?? [p];
    const theirs = groupOf.get(q) ?? [q];
    if (mine === theirs || p === q) return;
    mine.push(...theirs);
    for (const v of mine) groupOf.set(v, mine);
  };
  for (const [i, j] of partner.entries()) {
    if (j < i) continue;
    join(vertices[2 * i]!, vertices[2 * j + 1]!);
    join(vertices[2 * i + 1]!, vertices[2 * j]!);
  }
  const moved = positions.slice();
  let farthestMove = 0;
  for (const group of new Set(groupOf.values())) {
    const points = group.map((v) => vertexAt(positions, v));
    const middle: Vec3 = scale(points.reduce(add), 1 / points.length);
    for (const v of group) moved.set(middle, 3 * v);
    for (const p of points) farthestMove = Math.max(farthestMove, distance(p, middle));
  }
  return { positions: moved, farthestMove };
}
