import { closestWithin } from './surface-distance.ts';
import { indexSurface } from './surface-index.ts';
import { makePairBuffer, triangleDistance } from './triangle-distance.ts';
import type { ClosestPair, TriangleMesh, Vec3 } from './types.ts';
import { distance } from './vec3.ts';

/** Some or all triangles of a mesh, and their vertices. */
interface Part extends TriangleMesh {
  /** Triangle numbers; null for all. */
  readonly subset: Uint32Array | null;
  /** Vertices that the triangles use, also twice; null for all of the mesh, used or not: they only widen the slab. */
  readonly vertices: Uint32Array | null;
  /** At least the largest sum of a vertex's coordinates without their signs: what rounding goes by. */
  readonly farthest: number;
}

/** How high the vertices of a part lie along a direction, mm. */
interface Heights {
  readonly least: number;
  readonly most: number;
}

/** So often the nearest vertex on the other side is looked for; it has long stopped changing. */
const MOST_ROUNDS = 8;
/** About so many places say where the middle of a surface is: the search only begins there. */
const MIDDLE_SAMPLES = 4096;
/** By these shares of distance and coordinates the slab is widened: far above rounding in double precision. */
const SLACK = 1e-9;
const COORDINATE_SLACK = 1e-12;
/** Room for triangles within reach at first; it is doubled as they come. */
const FIRST_WITHIN = 1024;

/**
 * Exact smallest distance of two surfaces, like `closestBetween`, for surfaces that are asked once: most triangles
 * are told off before any tree is built.
 *
 * 1. The vertex of A nearest to some vertex of B, the vertex of B nearest to that, and so on to and fro until nothing
 *    changes. Their distance u is reached, so the smallest one is no larger.
 * 2. Two points are no nearer than their heights along any unit direction n differ. So a triangle of A all of which
 *    lies more than u below the lowest point of B along n is farther than u from all of B; likewise for B. With n
 *    from the one point to the other few triangles remain where two convex walls face each other; all remain
 *    where surfaces run into or round each other.
 * 3. The same again among those that remain, with the exact distance of the triangles round the two vertices.
 * 4. The exact distance of what remains, by trees over it.
 *
 * Where several pairs are equally near, which one is named is not said.
 *
 * @param trianglesOfA - triangle numbers, at least one; all when left out
 * @throws RangeError when a surface is empty or holds a vertex that is not finite
 */
export function closestOfMeshes(
  meshA: TriangleMesh,
  meshB: TriangleMesh,
  trianglesOfA: Uint32Array | null = null,
  trianglesOfB: Uint32Array | null = null,
): ClosestPair {
  const [a, b] = [partOf(meshA, trianglesOfA), partOf(meshB, trianglesOfB)];
  const [atA, atB] = nearVertices(a, b);
  const [roughA, roughB] = withinReach(a, b, pointOf(a, atA), pointOf(b, atB));
  const reached = nearestOfRings(a, trianglesRound(a, roughA, atA), b, trianglesRound(b, roughB, atB));
  // They ended at a vertex that no triangle uses.
  if (reached === null) return closestOfMeshes(meshA, meshB, a.subset ?? all(meshA), b.subset ?? all(meshB));
  if (reached.distanceMm === 0) return reached;
  const [nearA, nearB] = withinReach(piece(a, roughA), piece(b, roughB), reached.a, reached.b);
  if (nearA.length === 0 || nearB.length === 0) return reached;
  return closestWithin(indexSurface(meshA, nearA), indexSurface(meshB, nearB), reached.distanceMm) ?? reached;
}

/** The triangles that may be as near to the other part as two points of the parts are. */
function withinReach(a: Part, b: Part, pointA: Vec3, pointB: Vec3): [ofA: Uint32Array, ofB: Uint32Array] {
  const n = unitFrom(pointA, pointB);
  const [heightsA, heightsB] = [heightsOf(a, n), heightsOf(b, n)];
  const u = distance(pointA, pointB);
  const reach = u * (1 + SLACK) + COORDINATE_SLACK * (a.farthest + b.farthest);
  return [
    trianglesWithin(a, n, heightsB.least - reach, Infinity),
    trianglesWithin(b, n, -Infinity, heightsA.most + reach),
  ];
}

/** Some triangles of a part. */
function piece({ positions, triangles, farthest }: Part, subset: Uint32Array): Part {
  const vertices = new Uint32Array(3 * subset.length);
  for (let i = 0; i < vertices.length; i++) vertices[i] = triangles[3 * subset[(i / 3) | 0]! + (i % 3)]!;
  return { positions, triangles, subset, vertices, farthest };
}

function partOf({ positions, triangles }: TriangleMesh, subset: Uint32Array | null): Part {
  if ((subset ?? triangles).length === 0) {
    throw new RangeError('a surface of no triangles cannot be asked for distances');
  }
  const vertices = subset && usedVertices(positions.length / 3, triangles, subset);
  const count = vertices?.length ?? positions.length / 3;
  return { positions, triangles, subset, vertices, farthest: farthestOf(positions, vertices, count) };
}

function all({ triangles }: TriangleMesh): Uint32Array {
  const numbers = new Uint32Array(triangles.length / 3);
  for (let t = 0; t < numbers.length; t++) numbers[t] = t;
  return numbers;
}

function farthestOf(positions: Float32Array, vertices: Uint32Array | null, count: number): number {
  let sum = 0;
  let farthest = 0;
  for (let i = 0; i < count; i++) {
    const v = 3 * (vertices === null ? i : vertices[i]!);
    const far = Math.abs(positions[v]!) + Math.abs(positions[v + 1]!) + Math.abs(positions[v + 2]!);
    sum += far;
    if (far > farthest) farthest = far;
  }
  if (!Number.isFinite(sum)) throw new RangeError('a surface with a vertex that has no finite coordinate');
  return farthest;
}

function usedVertices(count: number, triangles: Uint32Array, subset: Uint32Array): Uint32Array {
  const isUsed = new Uint8Array(count);
  for (const t of subset) for (let k = 0; k < 3; k++) isUsed[triangles[3 * t + k]!] = 1;
  const vertices = new Uint32Array(Math.min(count, 3 * subset.length));
  let used = 0;
  for (let v = 0; v < count; v++) if (isUsed[v] === 1) vertices[used++] = v;
  return vertices.subarray(0, used);
}

const vertexCount = ({ positions, vertices }: Part): number => vertices?.length ?? positions.length / 3;

/** A vertex of each that are near each other: their distance is an upper bound, mostly close to the smallest one. */
function nearVertices(a: Part, b: Part): [ofA: number, ofB: number] {
  let atA = nearestVertex(a, roughMiddle(b));
  let atB = nearestVertex(b, pointOf(a, atA));
  for (let round = 0; round < MOST_ROUNDS; round++) {
    const next = nearestVertex(a, pointOf(b, atB));
    if (next === atA) break;
    atA = next;
    atB = nearestVertex(b, pointOf(a, atA));
  }
  return [atA, atB];
}

function roughMiddle(part: Part): Vec3 {
  const { positions, triangles, subset } = part;
  const count = subset?.length ?? triangles.length / 3;
  const step = Math.ceil(count / MIDDLE_SAMPLES);
  const sum: [number, number, number] = [0, 0, 0];
  for (let i = 0; i < count; i += step) {
    const v = 3 * triangles[3 * (subset === null ? i : subset[i]!)]!;
    for (let k = 0; k < 3; k++) sum[k] = sum[k]! + positions[v + k]!;
  }
  const taken = Math.ceil(count / step);
  return [sum[0] / taken, sum[1] / taken, sum[2] / taken];
}

function pointOf({ positions }: TriangleMesh, v: number): Vec3 {
  return [positions[3 * v]!, positions[3 * v + 1]!, positions[3 * v + 2]!];
}

function nearestVertex(part: Part, [x, y, z]: Vec3): number {
  const { positions, vertices } = part;
  const count = vertexCount(part);
  let nearest = -1;
  let best = Infinity;
  for (let i = 0; i < count; i++) {
    const v = 3 * (vertices === null ? i : vertices[i]!);
    const dx = positions[v]! - x;
    const dy = positions[v + 1]! - y;
    const dz = positions[v + 2]! - z;
    const d2 = dx * dx + dy * dy + dz * dz;
    if (d2 < best) {
      best = d2;
      nearest = v / 3;
    }
  }
  return nearest;
}

/** Those of the given triangles that have the vertex as a corner. */
function trianglesRound({ triangles }: Part, among: Uint32Array, v: number): number[] {
  const round: number[] = [];
  for (const t of among) {
    if (triangles[3 * t] === v || triangles[3 * t + 1] === v || triangles[3 * t + 2] === v) round.push(t);
  }
  return round;
}

function cornersOf({ positions, triangles }: TriangleMesh, t: number): Float64Array {
  return Float64Array.from(
    [0, 1, 2].flatMap((k) => pointOf({ positions, triangles }, triangles[3 * t + k]!)),
  );
}

function nearestOfRings(
  a: Part,
  ringA: readonly number[],
  b: Part,
  ringB: readonly number[],
): ClosestPair | null {
  let best: { triangleA: number; triangleB: number; pair: Float64Array } | null = null;
  const cornersB = ringB.map((t) => cornersOf(b, t));
  for (const triangleA of ringA) {
    const corners = cornersOf(a, triangleA);
    for (const [i, triangleB] of ringB.entries()) {
      const pair = makePairBuffer();
      triangleDistance(corners, cornersB[i]!, pair);
      if (best === null || pair[0]! < best.pair[0]!) best = { triangleA, triangleB, pair };
    }
  }
  if (best === null) return null;
  const { triangleA, triangleB, pair } = best;
  return {
    distanceMm: Math.sqrt(pair[0]!),
    a: [pair[1]!, pair[2]!, pair[3]!],
    b: [pair[4]!, pair[5]!, pair[6]!],
    triangleA,
    triangleB,
  };
}

/** From one point to the other; along x where they are the same, since every direction will do. */
function unitFrom(from: Vec3, to: Vec3): Vec3 {
  const [x, y, z] = [to[0] - from[0], to[1] - from[1], to[2] - from[2]];
  const length = Math.hypot(x, y, z);
  if (length === 0) return [1, 0, 0];
  return [x / length, y / length, z / length];
}

function heightsOf(part: Part, [nx, ny, nz]: Vec3): Heights {
  const { positions, vertices } = part;
  const count = vertexCount(part);
  let least = Infinity;
  let most = -Infinity;
  for (let i = 0; i < count; i++) {
    const v = 3 * (vertices === null ? i : vertices[i]!);
    const height = nx * positions[v]! + ny * positions[v + 1]! + nz * positions[v + 2]!;
    if (height < least) least = height;
    if (height > most) most = height;
  }
  return { least, most };
}

/** Triangles with a vertex whose height lies within what is given. */
function trianglesWithin(part: Part, n: Vec3, from: number, to: number): Uint32Array {
  const { triangles, subset } = part;
  const isWithin = verticesWithin(part, n, from, to);
  const count = subset?.length ?? triangles.length / 3;
  let within = new Uint32Array(FIRST_WITHIN);
  let found = 0;
  for (let i = 0; i < count; i++) {
    const t = subset === null ? i : subset[i]!;
    const corners =
      isWithin[triangles[3 * t]!]! | isWithin[triangles[3 * t + 1]!]! | isWithin[triangles[3 * t + 2]!]!;
    if (corners === 0) continue;
    if (found === within.length) within = twiceAsLong(within);
    within[found++] = t;
  }
  return within.subarray(0, found);
}

/** Per vertex of the mesh, 1 where it is the part's and its height lies within what is given: bytes, which stay near. */
function verticesWithin(part: Part, [nx, ny, nz]: Vec3, from: number, to: number): Uint8Array {
  const { positions, vertices } = part;
  const count = vertexCount(part);
  const isWithin = new Uint8Array(positions.length / 3);
  for (let i = 0; i < count; i++) {
    const v = vertices === null ? i : vertices[i]!;
    const height = nx * positions[3 * v]! + ny * positions[3 * v + 1]! + nz * positions[3 * v + 2]!;
    if (height >= from && height <= to) isWithin[v] = 1;
  }
  return isWithin;
}

function twiceAsLong(values: Uint32Array): Uint32Array<ArrayBuffer> {
  const longer = new Uint32Array(2 * values.length);
  longer.set(values);
  return longer;
}
