import { pointNeighbours } from './point-neighbours.ts';
import type { TriangleMesh, Vec3 } from './types.ts';
import { add, distance, dot, lerp, scale, sub, vertexAt } from './vec3.ts';

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
}

/** Ends of edges may lie apart by this share of the shorter edge, so that no triangle collapses when they are joined. */
const MOST_APART_SHARE = 0.25;
/** Edges of a seam run against each other: cosine of the angle between them. */
const AGAINST = -0.9;
/** Above this number of open edges the surface is a heap of loose triangles, in which nothing can be told. */
export const MOST_OPEN_EDGES = 200_000;

interface OpenEdge {
  readonly from: number;
  readonly to: number;
  readonly a: Vec3;
  readonly b: Vec3;
  readonly length: number;
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
  const open = openEdges(mesh, adjacency);
  const partner = facingEdges(open, reach);
  const pairs = open.flatMap((edge, i) => (partner[i]! > i ? [[edge, open[partner[i]!]!] as const] : []));
  if (pairs.length === 0) return { positions: mesh.positions, joinedPairs: 0, farthestMove: 0 };
  return { ...joined(mesh.positions, pairs), joinedPairs: pairs.length };
}

/**
 * Open edges that lie against another one but share no end with it, so that they could not be joined: cracks.
 *
 * @param mesh, adjacency, reach - as for {@link closeSeams}
 */
export function countCrackEdges(mesh: TriangleMesh, adjacency: Int32Array, reach: number): number {
  return countLoose(openEdges(mesh, adjacency), reach);
}

/** None where there are more than can tell anything. */
function openEdges({ positions, triangles }: TriangleMesh, adjacency: Int32Array): OpenEdge[] {
  const open: OpenEdge[] = [];
  for (let h = 0; h < adjacency.length; h++) {
    if (adjacency[h]! >= 0) continue;
    const from = triangles[h]!;
    const to = triangles[h % 3 === 2 ? h - 2 : h + 1]!;
    const [a, b] = [vertexAt(positions, from), vertexAt(positions, to)];
    open.push({ from, to, a, b, length: distance(a, b) });
    if (open.length > MOST_OPEN_EDGES) return [];
  }
  return open;
}

const middlesOf = (edges: readonly OpenEdge[]) =>
  Float64Array.from(edges.flatMap(({ a, b }) => lerp(a, b, 0.5)));

/** @returns per edge, the one that faces it end by end and has no nearer one itself; -1 = none */
function facingEdges(open: readonly OpenEdge[], reach: number): Int32Array {
  const nearest = pointNeighbours(middlesOf(open), reach).map((near, i) => {
    const own = open[i]!;
    let best = -1;
    let least = Number.POSITIVE_INFINITY;
    for (const j of near) {
      const other = open[j]!;
      // Sides that meet in a point close by what comes beside them, or are those of one sliver.
      if (own.from === other.to || own.to === other.from) continue;
      const apart = Math.max(distance(own.a, other.b), distance(own.b, other.a));
      if (apart > Math.min(reach, MOST_APART_SHARE * Math.min(own.length, other.length))) continue;
      if (apart < least) [best, least] = [j, apart];
    }
    return best;
  });
  return Int32Array.from(nearest, (j, i) => (j >= 0 && nearest[j] === i ? j : -1));
}

/** How many of the open edges lie against another one with which they share no end. */
function countLoose(edges: readonly OpenEdge[], reach: number): number {
  const lengths = edges.map(({ length }) => length).sort((p, q) => p - q);
  const usual = lengths[lengths.length >> 1] ?? 0;
  const near = pointNeighbours(middlesOf(edges), reach + usual);
  return edges.filter((own, i) => {
    const middle = lerp(own.a, own.b, 0.5);
    const mostApart = Math.min(reach, MOST_APART_SHARE * own.length);
    return near[i]!.some((j) => {
      const other = edges[j]!;
      const shared = [other.from, other.to].some((end) => end === own.from || end === own.to);
      if (shared || !runsAgainst(own, other)) return false;
      return distanceToEdge(middle, other) <= mostApart;
    });
  }).length;
}

function runsAgainst(own: OpenEdge, other: OpenEdge): boolean {
  return dot(sub(own.b, own.a), sub(other.b, other.a)) <= AGAINST * own.length * other.length;
}

function distanceToEdge(point: Vec3, { a, b, length }: OpenEdge): number {
  const along = length === 0 ? 0 : dot(sub(point, a), sub(b, a)) / length ** 2;
  return distance(point, lerp(a, b, Math.max(0, Math.min(1, along))));
}

/** All points that face each other, directly or by a third one, halfway between them. */
function joined(
  positions: Float32Array,
  pairs: readonly (readonly [OpenEdge, OpenEdge])[],
): Pick<Seams, 'positions' | 'farthestMove'> {
  const groupOf = new Map<number, number[]>();
  const join = (p: number, q: number): void => {
    const mine = groupOf.get(p) ?? [p];
    const theirs = groupOf.get(q) ?? [q];
    if (mine === theirs || p === q) return;
    mine.push(...theirs);
    for (const v of mine) groupOf.set(v, mine);
  };
  for (const [own, other] of pairs) {
    join(own.from, other.to);
    join(own.to, other.from);
  }
  const moved = positions.slice();
  let farthestMove = 0;
  for (const group of new Set(groupOf.values())) {
    const points = group.map((v) => vertexAt(positions, v));
    const middle = scale(points.reduce(add), 1 / points.length);
    for (const v of group) moved.set(middle, 3 * v);
    farthestMove = Math.max(farthestMove, ...points.map((p) => distance(p, middle)));
  }
  return { positions: moved, farthestMove };
}
