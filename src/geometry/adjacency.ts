import { median } from './median.ts';
import type { TriangleMesh } from './types.ts';

/** What an edge count says about a mesh. */
export interface EdgeStatistics {
  /** Distinct edges (vertex pairs joined by at least one triangle). */
  readonly edges: number;
  /** Edges with exactly one triangle: the border of the surface. */
  readonly openEdges: number;
  /** Edges with three or more triangles. */
  readonly nonManifoldEdges: number;
  /** Edges whose two triangles run along it in the same direction: one of the two is turned over. */
  readonly flippedEdges: number;
  /** Median length of the distinct edges, in the mesh's unit; 0 for a mesh without triangles. */
  readonly medianEdgeMm: number;
}

/** Edge statistics and face adjacency from one pass. */
export interface EdgeTopology extends EdgeStatistics {
  /** See {@link faceAdjacency}. */
  readonly adjacency: Int32Array;
}

/** Buckets longer than this are sorted by the engine; insertion sort is quicker on the usual 3 entries. */
const INSERTION_SORT_LIMIT = 32;

/** Half-edges (3 * triangle + corner) sorted so that those of one edge lie side by side. */
interface SortedHalfEdges {
  /** Half-edge numbers, grouped by lower vertex, then by upper vertex, then in rising order. */
  readonly halfEdges: Uint32Array;
  /** Upper vertex of each entry of `halfEdges`. */
  readonly upper: Uint32Array;
  /** (n + 1): where the group of each lower vertex begins. */
  readonly start: Uint32Array;
}

function sortBucket(halfEdges: Uint32Array, upper: Uint32Array, from: number, to: number): void {
  if (to - from <= INSERTION_SORT_LIMIT) {
    for (let i = from + 1; i < to; i++) {
      const u = upper[i]!;
      const h = halfEdges[i]!;
      let j = i - 1;
      while (j >= from && upper[j]! > u) {
        upper[j + 1] = upper[j]!;
        halfEdges[j + 1] = halfEdges[j]!;
        j--;
      }
      upper[j + 1] = u;
      halfEdges[j + 1] = h;
    }
    return;
  }
  const order = Array.from({ length: to - from }, (_, i) => from + i);
  order.sort((i, j) => upper[i]! - upper[j]! || i - j);
  const sortedUpper = order.map((i) => upper[i]!);
  const sortedHalfEdges = order.map((i) => halfEdges[i]!);
  upper.set(sortedUpper, from);
  halfEdges.set(sortedHalfEdges, from);
}

function sortHalfEdges(triangles: Uint32Array, vertexCount: number): SortedHalfEdges {
  const count = triangles.length;
  const start = new Uint32Array(vertexCount + 1);
  for (let t = 0; t < count; t += 3) {
    let from = triangles[t + 2]!;
    for (let k = 0; k < 3; k++) {
      const to = triangles[t + k]!;
      const low = Math.min(from, to);
      start[low + 1] = start[low + 1]! + 1;
      from = to;
    }
  }
  for (let v = 0; v < vertexCount; v++) start[v + 1] = start[v + 1]! + start[v]!;
  const fill = start.slice(0, vertexCount);
  const halfEdges = new Uint32Array(count);
  const upper = new Uint32Array(count);
  for (let t = 0; t < count; t += 3) {
    for (let k = 0; k < 3; k++) {
      const from = triangles[t + k]!;
      const to = triangles[k === 2 ? t : t + k + 1]!;
      const low = Math.min(from, to);
      const at = fill[low]!;
      fill[low] = at + 1;
      halfEdges[at] = t + k;
      upper[at] = Math.max(from, to);
    }
  }
  for (let v = 0; v < vertexCount; v++) sortBucket(halfEdges, upper, start[v]!, start[v + 1]!);
  return { halfEdges, upper, start };
}

/**
 * Counts the edges of a mesh and finds every triangle's neighbours, in one pass over the sorted half-edges: linear
 * in the number of triangles, also for fans of any size.
 *
 * @param mesh - not modified; no triangle may have two equal indices
 */
export function edgeTopology(mesh: TriangleMesh): EdgeTopology {
  const { positions, triangles } = mesh;
  const vertexCount = positions.length / 3;
  const { halfEdges, upper, start } = sortHalfEdges(triangles, vertexCount);
  const adjacency = new Int32Array(triangles.length).fill(-1);
  // In the place of the upper vertices: no edge is written before all of its half-edges were read.
  const lengths = new Float32Array(upper.buffer);
  const counts = walkEdges(positions, triangles, { halfEdges, upper, start }, adjacency, lengths);
  const medianEdgeMm = counts.edges === 0 ? 0 : median(lengths.subarray(0, counts.edges));
  return { adjacency, ...counts, medianEdgeMm };
}

/** Fills in neighbours and lengths of all edges, and counts them. */
function walkEdges(
  positions: TriangleMesh['positions'],
  triangles: Uint32Array,
  { halfEdges, upper, start }: SortedHalfEdges,
  adjacency: Int32Array,
  lengths: Float32Array,
): Omit<EdgeStatistics, 'medianEdgeMm'> {
  let edges = 0;
  let openEdges = 0;
  let nonManifoldEdges = 0;
  let flippedEdges = 0;
  for (let low = 0; low < start.length - 1; low++) {
    const end = start[low + 1]!;
    for (let i = start[low]!; i < end; ) {
      const high = upper[i]!;
      let j = i + 1;
      while (j < end && upper[j] === high) j++;
      const dx = positions[3 * low]! - positions[3 * high]!;
      const dy = positions[3 * low + 1]! - positions[3 * high + 1]!;
      const dz = positions[3 * low + 2]! - positions[3 * high + 2]!;
      lengths[edges++] = Math.sqrt(dx * dx + dy * dy + dz * dz);
      if (j - i === 1) openEdges++;
      else if (j - i > 2) nonManifoldEdges++;
      else {
        const g = halfEdges[i]!;
        const h = halfEdges[i + 1]!;
        adjacency[g] = (h / 3) | 0;
        adjacency[h] = (g / 3) | 0;
        if (triangles[g] === triangles[h]) flippedEdges++;
      }
      i = j;
    }
  }
  return { edges, openEdges, nonManifoldEdges, flippedEdges };
}

/** Several steps of one job ask for the neighbours of one mesh; kept as long as the mesh is, which nobody changes. */
const known = new WeakMap<Uint32Array, Int32Array>();

/**
 * The neighbour of every triangle across each of its edges; edge k of a triangle runs from corner k to corner k + 1.
 * Found once per array of triangles.
 *
 * @param triangles - (m x 3) vertex indices, none of a triangle's three equal; not changed afterwards by anybody
 * @param vertexCount - number of vertices; every index lies below it
 * @returns (m x 3) triangle numbers; -1 where the edge is open or has three or more triangles; not to be modified
 */
export function faceAdjacency(triangles: Uint32Array, vertexCount: number): Int32Array {
  const before = known.get(triangles);
  if (before !== undefined) return before;
  const adjacency = findAdjacency(triangles, vertexCount);
  known.set(triangles, adjacency);
  return adjacency;
}

/**
 * Takes over what {@link edgeTopology} found, so that it is not looked for again.
 *
 * @param triangles - as they were then; not changed afterwards by anybody
 */
export function keepAdjacency(triangles: Uint32Array, { adjacency }: EdgeTopology): void {
  known.set(triangles, adjacency);
}

/** The same triangles in another array: what is known of `from` is known of `to`. */
export function carryAdjacency(from: Uint32Array, to: Uint32Array): void {
  const before = known.get(from);
  if (before !== undefined) known.set(to, before);
}

function findAdjacency(triangles: Uint32Array, vertexCount: number): Int32Array {
  const { halfEdges, upper, start } = sortHalfEdges(triangles, vertexCount);
  const adjacency = new Int32Array(triangles.length).fill(-1);
  for (let low = 0; low < vertexCount; low++) {
    const end = start[low + 1]!;
    for (let i = start[low]!; i < end; ) {
      let j = i + 1;
      while (j < end && upper[j] === upper[i]) j++;
      if (j - i === 2) {
        adjacency[halfEdges[i]!] = (halfEdges[i + 1]! / 3) | 0;
        adjacency[halfEdges[i + 1]!] = (halfEdges[i]! / 3) | 0;
      }
      i = j;
    }
  }
  return adjacency;
}

/** Counts of edges and their median length; see {@link EdgeStatistics}. */
export function edgeStatistics(mesh: TriangleMesh): EdgeStatistics {
  const { edges, openEdges, nonManifoldEdges, flippedEdges, medianEdgeMm } = edgeTopology(mesh);
  return { edges, openEdges, nonManifoldEdges, flippedEdges, medianEdgeMm };
}

/** Which connected piece each triangle belongs to. */
export interface TriangleComponents {
  /** Component number per triangle, 0 upwards in order of the first triangle. */
  readonly component: Int32Array;
  /** Triangles per component. */
  readonly sizes: readonly number[];
}

/**
 * Connected pieces of the surface, going from triangle to triangle across ordinary (two-triangle) edges.
 *
 * @param adjacency - from {@link faceAdjacency}
 */
export function triangleComponents(adjacency: Int32Array): TriangleComponents {
  const count = adjacency.length / 3;
  const component = new Int32Array(count).fill(-1);
  const queue = new Int32Array(count);
  const sizes: number[] = [];
  for (let seed = 0; seed < count; seed++) {
    if (component[seed] !== -1) continue;
    const name = sizes.length;
    let head = 0;
    let tail = 0;
    queue[tail++] = seed;
    component[seed] = name;
    while (head < tail) {
      const t = queue[head++]!;
      for (let k = 0; k < 3; k++) {
        const other = adjacency[3 * t + k]!;
        if (other >= 0 && component[other] === -1) {
          component[other] = name;
          queue[tail++] = other;
        }
      }
    }
    sizes.push(tail);
  }
  return { component, sizes };
}
