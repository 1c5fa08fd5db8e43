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
  /** There are so many open edges, or so many beside each other, that nothing was looked for: loose triangles. */
  readonly isLoose: boolean;
}

/** Ends of edges may lie apart by this share of the shorter edge, so that no triangle collapses when they are joined. */
const MOST_APART_SHARE = 0.25;
/** Edges of a seam run against each other: cosine of the angle between them. */
const AGAINST = -0.9;
/** Above this number of open edges the surface is a heap of loose triangles, in which nothing can be told. */
const MOST_OPEN_EDGES = 200_000;
/** So, too, where more pairs of open edges lie beside each other, or they pass through more cells of the grid. */
const MOST_BESIDE = 2_000_000;
const MOST_CELLS = 1_000_000;
/** And where edges would have to be looked at more often on the way through these cells: the product of both. */
const MOST_LOOKS = 8_000_000;
/** Cells of the grid are this many reaches wide. */
const CELL_REACHES = 4;

/** Open edges, each from one vertex to the next in the order of its triangle. */
interface OpenEdges {
  readonly count: number;
  /** Vertices: the first end of edge i at 2 i, the second one after it. */
  readonly vertices: Uint32Array;
  /** The same, as places. */
  readonly ends: Float64Array;
  /** Place of the third corner of the edge's triangle. */
  readonly third: Float64Array;
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
  const none = { positions, joinedPairs: 0, farthestMove: 0, crackEdges: 0 };
  const grid = edges === null ? null : middlesInCells(edges, CELL_REACHES * reach);
  if (edges === null || grid === null) return { ...none, isLoose: true };
  const partner = facingEdges(edges, grid, reach);
  const crackEdges = countCracks(edges, grid, partner, reach);
  if (grid.budget.looks < 0) return { ...none, isLoose: true };
  const joinedPairs = partner.reduce((count, j, i) => (j > i ? count + 1 : count), 0);
  if (joinedPairs === 0) return { ...none, crackEdges, isLoose: false };
  return { ...joined(positions, edges, partner), joinedPairs, crackEdges, isLoose: false };
}

/** @returns null where there are more than can tell anything */
function openEdges({ positions, triangles }: TriangleMesh, adjacency: Int32Array): OpenEdges | null {
  let count = 0;
  for (let h = 0; h < adjacency.length; h++) if (adjacency[h]! < 0) count++;
  if (count > MOST_OPEN_EDGES) return null;
  const vertices = new Uint32Array(2 * count);
  const ends = new Float64Array(6 * count);
  const third = new Float64Array(3 * count);
  const lengths = new Float64Array(count);
  for (let h = 0, i = 0; i < count; h++) {
    if (adjacency[h]! >= 0) continue;
    vertices[2 * i] = triangles[h]!;
    vertices[2 * i + 1] = triangles[h % 3 === 2 ? h - 2 : h + 1]!;
    const corner = triangles[h % 3 === 0 ? h + 2 : h - 1]!;
    for (let c = 0; c < 3; c++) {
      third[3 * i + c] = positions[3 * corner + c]!;
      ends[6 * i + c] = positions[3 * vertices[2 * i]! + c]!;
      ends[6 * i + 3 + c] = positions[3 * vertices[2 * i + 1]! + c]!;
    }
    lengths[i] = Math.sqrt(apartSquared(ends, 2 * i, 2 * i + 1));
    i++;
  }
  return { count, vertices, ends, third, lengths };
}

/** Squared distance of two of the ends. */
function apartSquared(ends: Float64Array, p: number, q: number): number {
  const dx = ends[3 * p]! - ends[3 * q]!;
  const dy = ends[3 * p + 1]! - ends[3 * q + 1]!;
  const dz = ends[3 * p + 2]! - ends[3 * q + 2]!;
  return dx * dx + dy * dy + dz * dz;
}

/** The middles of edges in cubic cells; a cell's number picks a slot, which other cells may share. */
interface MiddleGrid {
  readonly cell: number;
  readonly middles: Float64Array;
  /** Per slot the last edge in it, and per edge the one before it in the same slot; -1 = none. */
  readonly last: Int32Array;
  readonly before: Int32Array;
  /** How often edges may still be looked at; below zero, what was found is not all. */
  readonly budget: { looks: number };
}

/** @returns null where the edges lie so close together, or are so long, that looking through them would not end */
function middlesInCells({ count, ends, lengths }: OpenEdges, cell: number): MiddleGrid | null {
  const middles = new Float64Array(3 * count);
  const last = new Int32Array(2 ** Math.ceil(Math.log2(2 * count + 2))).fill(-1);
  const before = new Int32Array(count);
  const inSlot = new Uint32Array(last.length);
  let beside = 0;
  let cells = 0;
  for (let i = 0; i < count; i++) {
    for (let c = 0; c < 3; c++) middles[3 * i + c] = (ends[6 * i + c]! + ends[6 * i + 3 + c]!) / 2;
    const slot = slotOf(
      Math.floor(middles[3 * i]! / cell),
      Math.floor(middles[3 * i + 1]! / cell),
      Math.floor(middles[3 * i + 2]! / cell),
      last.length,
    );
    before[i] = last[slot]!;
    last[slot] = i;
    beside += inSlot[slot]!++;
    cells += lengths[i]! / cell;
  }
  if (beside > MOST_BESIDE || cells > MOST_CELLS) return null;
  return { cell, middles, last, before, budget: { looks: MOST_LOOKS } };
}

/** Large primes spread neighbouring cells over the slots (Teschner et al. 2003). */
function slotOf(x: number, y: number, z: number, slots: number): number {
  return (Math.imul(x, 73856093) ^ Math.imul(y, 19349663) ^ Math.imul(z, 83492791)) & (slots - 1);
}

/**
 * Calls `look(i, j)` for every edge j whose middle lies within reach of a point, and for some beyond. Some come twice.
 * Ends where the budget does.
 */
function lookAround(
  { cell, last, before, budget }: MiddleGrid,
  i: number,
  [x, y, z]: Vec3,
  reach: number,
  look: (i: number, j: number) => void,
): void {
  const x1 = Math.floor((x + reach) / cell);
  const y1 = Math.floor((y + reach) / cell);
  const z1 = Math.floor((z + reach) / cell);
  for (let cx = Math.floor((x - reach) / cell); cx <= x1; cx++) {
    for (let cy = Math.floor((y - reach) / cell); cy <= y1; cy++) {
      for (let cz = Math.floor((z - reach) / cell); cz <= z1; cz++) {
        for (let j = last[slotOf(cx, cy, cz, last.length)]!; j >= 0; j = before[j]!) {
          if (budget.looks-- < 0) return;
          look(i, j);
        }
      }
    }
  }
}

/** @returns per edge, the one that faces it end by end and has no nearer one itself; -1 = none */
function facingEdges(edges: OpenEdges, grid: MiddleGrid, reach: number): Int32Array {
  const { count, vertices, ends, lengths } = edges;
  const nearest = new Int32Array(count).fill(-1);
  const least = new Float64Array(count).fill(Number.POSITIVE_INFINITY);
  const look = (i: number, j: number): void => {
    // Sides that meet in a point close by what comes beside them, or are those of one sliver.
    if (vertices[2 * i] === vertices[2 * j + 1] || vertices[2 * i + 1] === vertices[2 * j]) return;
    const most = Math.min(reach, MOST_APART_SHARE * Math.min(lengths[i]!, lengths[j]!));
    const far = Math.max(apartSquared(ends, 2 * i, 2 * j + 1), apartSquared(ends, 2 * i + 1, 2 * j));
    // Of two as near the first one: the order in which they are met means nothing.
    if (far > most * most || far > least[i]! || (far === least[i]! && j >= nearest[i]!)) return;
    if (isSurfaceBetween(edges, grid, i, j) || isSurfaceBetween(edges, grid, j, i)) return;
    nearest[i] = j;
    least[i] = far;
  };
  // Ends within reach of each other have middles within reach.
  for (let i = 0; i < count; i++) lookAround(grid, i, vertexAt(grid.middles, i), reach, look);
  return nearest.map((j, i) => (j >= 0 && nearest[j] === i ? j : -1));
}

/** A triangle that ends within this share of the way to the other edge lies between them; sides that overlap go farther. */
const REACHES_ACROSS = 1.5;

/** Whether it is the triangle of edge i that lies between it and edge j: a thin strip of surface, no slit. */
function isSurfaceBetween(
  { ends, third, lengths }: OpenEdges,
  { middles }: MiddleGrid,
  i: number,
  j: number,
): boolean {
  // Square to edge i: the height of its triangle, and the way to edge j.
  let [outAlong, acrossAlong] = [0, 0];
  for (let c = 0; c < 3; c++) {
    const unit = (ends[6 * i + 3 + c]! - ends[6 * i + c]!) / lengths[i]!;
    outAlong += unit * (third[3 * i + c]! - middles[3 * i + c]!);
    acrossAlong += unit * (middles[3 * j + c]! - middles[3 * i + c]!);
  }
  let [towards, height2, across2] = [0, 0, 0];
  for (let c = 0; c < 3; c++) {
    const unit = (ends[6 * i + 3 + c]! - ends[6 * i + c]!) / lengths[i]!;
    const out = third[3 * i + c]! - middles[3 * i + c]! - outAlong * unit;
    const across = middles[3 * j + c]! - middles[3 * i + c]! - acrossAlong * unit;
    towards += out * across;
    height2 += out * out;
    across2 += across * across;
  }
  return towards > 0 && height2 <= REACHES_ACROSS ** 2 * across2;
}

/** How many edges without a partner lie against another such one with which they share no end. */
function countCracks(edges: OpenEdges, grid: MiddleGrid, partner: Int32Array, reach: number): number {
  const { count, ends, lengths } = edges;
  const cracked = new Uint8Array(count);
  const look = (j: number, i: number): void => {
    if (cracked[i] === 1 || i === j || partner[i]! >= 0) return;
    if (!runAgainst(edges, i, j) || shareEnd(edges, i, j) || !liesOn(edges, i, j, reach)) return;
    if (isSurfaceBetween(edges, grid, i, j) || isSurfaceBetween(edges, grid, j, i)) return;
    cracked[i] = 1;
  };
  for (let j = 0; j < count; j++) {
    if (partner[j]! >= 0) continue;
    // Along the edge in steps of a cell; what lies within reach of it lies within reach and half a step of one.
    const steps = Math.ceil(lengths[j]! / grid.cell) || 1;
    const around = reach + lengths[j]! / steps / 2;
    for (let step = 0; step < steps; step++) {
      const share = (step + 0.5) / steps;
      const at = (c: number): number => ends[6 * j + c]! + share * (ends[6 * j + 3 + c]! - ends[6 * j + c]!);
      lookAround(grid, j, [at(0), at(1), at(2)], around, look);
    }
  }
  return cracked.reduce((sum, is) => sum + is, 0);
}

function shareEnd({ vertices }: OpenEdges, i: number, j: number): boolean {
  const a = vertices[2 * i]!;
  const b = vertices[2 * i + 1]!;
  const c = vertices[2 * j]!;
  const d = vertices[2 * j + 1]!;
  return a === c || a === d || b === c || b === d;
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
