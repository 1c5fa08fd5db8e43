import { IndexList } from '../../geometry/index-list.ts';
import type { TriangleMesh } from '../../geometry/types.ts';
import type { ToothMap } from '../../teeth/types.ts';
import { gather } from './display-mesh.ts';

/** One unbroken border between two labels. */
export interface BorderLine {
  readonly labelA: number;
  readonly labelB: number;
  /** k vertices of the scan along the border; a closed line repeats none. */
  readonly vertices: Uint32Array;
  /** (k x 3) the smoothed line, mm. */
  readonly points: Float32Array;
  /** (k x 3) the same, but each vertex has only slid along the surface: drawing it there keeps the shape, mm. */
  readonly onSurface: Float32Array;
  readonly closed: boolean;
}

/** Rounds of averaging that take the saw-tooth of triangle edges off a border without moving it visibly. */
const SMOOTHING_ROUNDS = 12;

/** Factor that keeps a packed edge key exact: a scan has fewer vertices than this. */
const KEY_BASE = 2 ** 26;

/**
 * The borders between labels as smoothed lines, each between two label changes or closed in itself.
 *
 * @param mesh - positions and unit vertex normals (n x 3), triangles (m x 3); not modified
 * @param labels - m labels
 * @param shared - n flags: 1 where labels meet (see `splitByLabel`)
 */
export function borderLines(
  mesh: TriangleMesh & { readonly normals: Float32Array },
  labels: ToothMap,
  shared: Uint8Array,
): BorderLine[] {
  const lines: BorderLine[] = [];
  for (const { labelA, labelB, ends } of borderEdges(mesh.triangles, labels, shared).values()) {
    for (const { vertices, closed } of chainEdges(ends.toArray())) {
      const at = gather(mesh.positions, 3, vertices);
      const points = smoothLine(at, closed, SMOOTHING_ROUNDS);
      const onSurface = slid(points, at, gather(mesh.normals, 3, vertices));
      lines.push({ labelA, labelB, vertices, points, onSurface, closed });
    }
  }
  return lines;
}

/** The moves from `from` to `to` without their parts along the normals. */
function slid(to: Float32Array, from: Float32Array, normals: Float32Array): Float32Array {
  const out = to.slice();
  for (let i = 0; i < out.length; i += 3) {
    let lift = 0;
    for (let k = i; k < i + 3; k++) lift += (to[k]! - from[k]!) * normals[k]!;
    for (let k = i; k < i + 3; k++) out[k]! -= lift * normals[k]!;
  }
  return out;
}

interface EdgeGroup {
  readonly labelA: number;
  readonly labelB: number;
  /** Both vertices of edge after edge. */
  readonly ends: IndexList;
}

/** Edges whose two triangles bear different labels, by label pair. Only triangles at shared vertices are looked at. */
function borderEdges(triangles: Uint32Array, labels: ToothMap, shared: Uint8Array): Map<number, EdgeGroup> {
  const seen = new Map<number, number>();
  const groups = new Map<number, EdgeGroup>();
  for (let t = 0; t < labels.length; t++) {
    const ends = shared[triangles[3 * t]!]! + shared[triangles[3 * t + 1]!]! + shared[triangles[3 * t + 2]!]!;
    if (ends < 2) continue;
    for (let k = 0; k < 3; k++) {
      const a = triangles[3 * t + k]!;
      const b = triangles[3 * t + ((k + 1) % 3)]!;
      if (shared[a] === 0 || shared[b] === 0) continue;
      const key = a < b ? a * KEY_BASE + b : b * KEY_BASE + a;
      const other = seen.get(key);
      if (other === undefined) {
        seen.set(key, labels[t]!);
        continue;
      }
      if (other === labels[t]) continue;
      const labelA = Math.min(other, labels[t]!);
      const labelB = Math.max(other, labels[t]!);
      const groupKey = labelA * 256 + labelB;
      const group = groups.get(groupKey) ?? { labelA, labelB, ends: new IndexList() };
      group.ends.push(a);
      group.ends.push(b);
      groups.set(groupKey, group);
    }
  }
  return groups;
}

interface Chain {
  readonly vertices: Uint32Array;
  readonly closed: boolean;
}

/** Which edges meet at a vertex. Vertices are counted from 0 in the order in which they come. */
interface EdgeEnds {
  /** (2 x edges) place of the vertices in that order. */
  readonly place: Int32Array;
  /** (places) the vertex. */
  readonly vertex: Int32Array;
  /** The edges of place p, in rising order: `edges[start[p]]` to `edges[start[p + 1] - 1]`. */
  readonly start: Int32Array;
  readonly edges: Int32Array;
}

/** @param ends - both vertices of edge after edge */
function edgeEnds(ends: Int32Array): EdgeEnds {
  const placeOf = new Map<number, number>();
  const place = new Int32Array(ends.length);
  const vertex = new Int32Array(ends.length);
  for (let i = 0; i < ends.length; i++) {
    const known = placeOf.get(ends[i]!);
    place[i] = known ?? placeOf.size;
    if (known !== undefined) continue;
    vertex[placeOf.size] = ends[i]!;
    placeOf.set(ends[i]!, placeOf.size);
  }
  const start = new Int32Array(placeOf.size + 1);
  for (let i = 0; i < place.length; i++) start[place[i]! + 1]! += 1;
  for (let p = 0; p < placeOf.size; p++) start[p + 1]! += start[p]!;
  const fill = start.slice();
  const edges = new Int32Array(ends.length);
  for (let i = 0; i < place.length; i++) edges[fill[place[i]!]!++] = i >> 1;
  return { place, vertex: vertex.subarray(0, placeOf.size), start, edges };
}

/**
 * Strings edges together; a chain ends where not exactly two edges meet.
 *
 * @param ends - both vertices of edge after edge
 */
export function chainEdges(ends: Int32Array): Chain[] {
  const { place, vertex, start, edges } = edgeEnds(ends);
  const used = new Uint8Array(ends.length >> 1);
  const vertices = new IndexList();
  const walk = (from: number, firstEdge: number): Chain => {
    vertices.length = 0;
    vertices.push(vertex[from]!);
    let p = from;
    let e = firstEdge;
    while (e !== NONE) {
      used[e] = 1;
      p = place[2 * e] === p ? place[2 * e + 1]! : place[2 * e]!;
      if (p === from) return { vertices: Uint32Array.from(vertices.toArray()), closed: true };
      vertices.push(vertex[p]!);
      const first = start[p]!;
      if (start[p + 1]! - first !== 2) break;
      e =
        used[edges[first]!] === 0 ? edges[first]! : used[edges[first + 1]!] === 0 ? edges[first + 1]! : NONE;
    }
    return { vertices: Uint32Array.from(vertices.toArray()), closed: false };
  };
  const chains: Chain[] = [];
  for (let p = 0; p < vertex.length; p++) {
    if (start[p + 1]! - start[p]! === 2) continue;
    for (let k = start[p]!; k < start[p + 1]!; k++)
      if (used[edges[k]!] === 0) chains.push(walk(p, edges[k]!));
  }
  for (let e = 0; e < used.length; e++) if (used[e] === 0) chains.push(walk(place[2 * e]!, e));
  return chains;
}

const NONE = -1;

/** Each point moves to the mean of itself (weight 2) and its two neighbours; the ends of an open line stay. */
export function smoothLine(points: Float32Array, closed: boolean, rounds: number): Float32Array {
  const count = points.length / 3;
  let from = points.slice();
  if (count < 3) return from;
  let to = from.slice();
  for (let round = 0; round < rounds; round++) {
    const begin = closed ? 0 : 1;
    const end = closed ? count : count - 1;
    for (let i = begin; i < end; i++) {
      const p = (i + count - 1) % count;
      const n = (i + 1) % count;
      for (let k = 0; k < 3; k++) {
        to[3 * i + k] = (from[3 * p + k]! + 2 * from[3 * i + k]! + from[3 * n + k]!) / 4;
      }
    }
    [from, to] = [to, from];
  }
  return from;
}

/** Straight pieces ready for the graphics card: (s x 6) start and end, and the label that each piece moves with. */
export interface BorderSegments {
  readonly ends: Float32Array;
  readonly labels: Uint8Array;
}

/** A border between two teeth is given twice, once for each, so that both keep their outline when they move apart. */
export function borderSegments(lines: readonly BorderLine[]): BorderSegments {
  let count = 0;
  for (const line of lines) count += piecesOf(line) * (Number(line.labelA !== 0) + Number(line.labelB !== 0));
  const ends = new Float32Array(6 * count);
  const labels = new Uint8Array(count);
  let piece = 0;
  for (const line of lines) {
    const { points } = line;
    for (const label of [line.labelA, line.labelB]) {
      if (label === 0) continue;
      for (let i = 0; i < piecesOf(line); i++) {
        const j = 3 * i + 3 === points.length ? 0 : 3 * i + 3;
        for (let k = 0; k < 3; k++) {
          ends[6 * piece + k] = points[3 * i + k]!;
          ends[6 * piece + 3 + k] = points[j + k]!;
        }
        labels[piece++] = label;
      }
    }
  }
  return { ends, labels };
}

const piecesOf = ({ points, closed }: BorderLine): number => points.length / 3 - (closed ? 0 : 1);
