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
  for (const { labelA, labelB, edges } of borderEdges(mesh.triangles, labels, shared).values()) {
    for (const chain of chainEdges(edges)) {
      const vertices = Uint32Array.from(chain.vertices);
      const at = gather(mesh.positions, 3, vertices);
      const points = smoothLine(at, chain.closed, SMOOTHING_ROUNDS);
      const onSurface = slid(points, at, gather(mesh.normals, 3, vertices));
      lines.push({ labelA, labelB, vertices, points, onSurface, closed: chain.closed });
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
  readonly edges: [number, number][];
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
      const group = groups.get(groupKey) ?? { labelA, labelB, edges: [] };
      group.edges.push([a, b]);
      groups.set(groupKey, group);
    }
  }
  return groups;
}

interface Chain {
  readonly vertices: number[];
  readonly closed: boolean;
}

/** Strings edges together; a chain ends where not exactly two edges meet. */
export function chainEdges(edges: readonly (readonly [number, number])[]): Chain[] {
  const at = new Map<number, number[]>();
  edges.forEach(([a, b], e) => {
    for (const v of [a, b]) {
      const list = at.get(v);
      if (list === undefined) at.set(v, [e]);
      else list.push(e);
    }
  });
  const used = new Uint8Array(edges.length);
  const walk = (start: number, firstEdge: number): Chain => {
    const vertices = [start];
    let v = start;
    let e: number | undefined = firstEdge;
    while (e !== undefined) {
      used[e] = 1;
      const [a, b]: readonly [number, number] = edges[e]!;
      v = a === v ? b : a;
      if (v === start) return { vertices, closed: true };
      vertices.push(v);
      const next: number[] = at.get(v)!;
      e = next.length === 2 ? next.find((n) => used[n] === 0) : undefined;
    }
    return { vertices, closed: false };
  };
  const chains: Chain[] = [];
  for (const [v, list] of at) {
    if (list.length === 2) continue;
    for (const e of list) if (used[e] === 0) chains.push(walk(v, e));
  }
  for (let e = 0; e < edges.length; e++) if (used[e] === 0) chains.push(walk(edges[e]![0], e));
  return chains;
}

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
  const ends: number[] = [];
  const labels: number[] = [];
  for (const line of lines) {
    const count = line.points.length / 3;
    const pieces = line.closed ? count : count - 1;
    for (const label of [line.labelA, line.labelB]) {
      if (label === 0) continue;
      for (let i = 0; i < pieces; i++) {
        const j = (i + 1) % count;
        for (let k = 0; k < 3; k++) ends.push(line.points[3 * i + k]!);
        for (let k = 0; k < 3; k++) ends.push(line.points[3 * j + k]!);
        labels.push(label);
      }
    }
  }
  return { ends: Float32Array.from(ends), labels: Uint8Array.from(labels) };
}
