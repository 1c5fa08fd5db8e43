import { faceAdjacency } from '../geometry/adjacency.ts';
import { letGo } from '../geometry/let-go.ts';
import { median } from '../geometry/median.ts';
import { triangleAreas, vertexNormals } from '../geometry/triangle-geometry.ts';
import type { TriangleMesh } from '../geometry/types.ts';
import type { ToothMap, ToothNumber } from '../teeth/types.ts';
import { cleanLabels } from './clean-labels.ts';

/** The part of the scan that one tooth owns. */
export interface ToothSurface {
  readonly tooth: ToothNumber;
  /** Triangle numbers. */
  readonly triangles: Uint32Array;
  /** Vertices all of whose triangles belong to this tooth. */
  readonly vertices: Uint32Array;
  /** (n x 3) points of the line where the tooth meets gum (label 0), mm. */
  readonly gumLine: Float64Array;
  /** (n x 3) points where the tooth ends at an open edge of the scan, mm. */
  readonly cutLine: Float64Array;
}

/** A labelled scan prepared for measuring: what all pairs share. */
export interface ArchSurface {
  readonly mesh: TriangleMesh;
  readonly adjacency: Int32Array;
  /** Labels after the clean-up, per triangle. */
  readonly labels: ToothMap;
  /** (n x 3) unit vertex normals. */
  readonly normals: Float32Array;
  readonly teeth: ReadonlyMap<ToothNumber, ToothSurface>;
}

/**
 * Cleans the labels and gathers each tooth's triangles, inner vertices and borders.
 * @param mesh - mm, not modified
 * @param labels - ISO 3950 number per triangle, not modified
 * @param normals - those of `vertexNormals` where they are at hand, not modified
 */
export function prepareArchSurface(
  mesh: TriangleMesh,
  labels: ToothMap,
  normals: Float32Array | null = null,
): ArchSurface {
  const vertexCount = mesh.positions.length / 3;
  const adjacency = faceAdjacency(mesh.triangles, vertexCount);
  const areas = triangleAreas(mesh);
  const clean = cleanLabels(labels, adjacency, areas);
  letGo(areas);
  const inner = innerLabels(mesh.triangles, clean, vertexCount);
  const triangles = byLabel(clean);
  const vertices = byLabel(inner);
  letGo(inner);
  const teeth = new Map<ToothNumber, ToothSurface>();
  for (const [tooth, own] of triangles) {
    const { gumLine, cutLine } = bordersOf(mesh, adjacency, clean, own);
    teeth.set(tooth, { tooth, triangles: own, vertices: vertices.get(tooth) ?? NONE, gumLine, cutLine });
  }
  return { mesh, adjacency, labels: clean, normals: normals ?? vertexNormals(mesh), teeth };
}

const NONE = new Uint32Array(0);

/**
 * Gives back what `prepareArchSurface` made for itself: mesh and adjacency stay.
 * @param surface - of no use afterwards
 * @param given - the normals it was given, which stay
 */
export function letGoSurface(
  { labels, normals, teeth }: ArchSurface,
  given: Float32Array | null = null,
): void {
  letGo(labels, normals === given ? null : normals);
  for (const { triangles, vertices, gumLine, cutLine } of teeth.values())
    letGo(triangles, vertices === NONE ? null : vertices, gumLine, cutLine);
}

/** Per vertex the label of all its triangles, 0 where they differ or are gum. */
function innerLabels(triangles: Uint32Array, labels: ToothMap, vertexCount: number): Uint8Array {
  // 0: not seen yet.
  const MIXED = 255;
  const inner = new Uint8Array(vertexCount);
  for (let h = 0; h < triangles.length; h += 1) {
    const tooth = labels[(h / 3) | 0]!;
    const v = triangles[h]!;
    const known = inner[v]!;
    if (tooth === 0 || (known !== 0 && known !== tooth)) inner[v] = MIXED;
    else inner[v] = tooth;
  }
  for (let v = 0; v < vertexCount; v += 1) if (inner[v] === MIXED) inner[v] = 0;
  return inner;
}

/** The places of every label but 0, rising; the labels in the order in which they first appear. */
function byLabel(labels: Uint8Array): Map<ToothNumber, Uint32Array> {
  const counts = new Uint32Array(256);
  const order: number[] = [];
  for (let i = 0; i < labels.length; i += 1) {
    const label = labels[i]!;
    if (label !== 0 && counts[label] === 0) order.push(label);
    counts[label]! += 1;
  }
  const fill = new Uint32Array(256);
  let begin = 0;
  for (const label of order) {
    fill[label] = begin;
    begin += counts[label]!;
  }
  const sorted = new Uint32Array(begin);
  for (let i = 0; i < labels.length; i += 1) {
    const label = labels[i]!;
    if (label !== 0) sorted[fill[label]!++] = i;
  }
  return new Map(order.map((label) => [label, sorted.subarray(fill[label]! - counts[label]!, fill[label])]));
}

/** Both ends of every edge of a tooth's triangles beside gum, and of those without a neighbour. */
function bordersOf(
  { positions, triangles }: TriangleMesh,
  adjacency: Int32Array,
  labels: ToothMap,
  own: Uint32Array,
): Pick<ToothSurface, 'gumLine' | 'cutLine'> {
  const gumLine: number[] = [];
  const cutLine: number[] = [];
  for (let i = 0; i < own.length; i += 1) {
    const t = 3 * own[i]!;
    for (let k = 0; k < 3; k += 1) {
      const n = adjacency[t + k]!;
      if (n >= 0 && labels[n] !== 0) continue;
      const line = n < 0 ? cutLine : gumLine;
      const v = 3 * triangles[t + k]!;
      const w = 3 * triangles[k === 2 ? t : t + k + 1]!;
      line.push(positions[v]!, positions[v + 1]!, positions[v + 2]!);
      line.push(positions[w]!, positions[w + 1]!, positions[w + 2]!);
    }
  }
  return { gumLine: Float64Array.from(gumLine), cutLine: Float64Array.from(cutLine) };
}

/** Median edge length of the given triangles, mm. */
export function medianEdgeOf(mesh: TriangleMesh, triangles: ArrayLike<number>): number {
  const lengths = new Float64Array(3 * triangles.length);
  const p = mesh.positions;
  for (let i = 0; i < triangles.length; i += 1) {
    const t = 3 * triangles[i]!;
    for (let k = 0; k < 3; k += 1) {
      const a = 3 * mesh.triangles[t + k]!;
      const b = 3 * mesh.triangles[k === 2 ? t : t + k + 1]!;
      const x = p[a]! - p[b]!;
      const y = p[a + 1]! - p[b + 1]!;
      const z = p[a + 2]! - p[b + 2]!;
      lengths[3 * i + k] = Math.sqrt(x * x + y * y + z * z);
    }
  }
  const middle = lengths.length === 0 ? 0 : median(lengths);
  letGo(lengths);
  return middle;
}
