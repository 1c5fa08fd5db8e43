import { faceAdjacency } from '../geometry/adjacency.ts';
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

interface Growing {
  readonly triangles: number[];
  readonly gumLine: number[];
  readonly cutLine: number[];
}

/**
 * Cleans the labels and gathers each tooth's triangles, inner vertices and borders.
 * @param mesh - mm, not modified
 * @param labels - ISO 3950 number per triangle, not modified
 */
export function prepareArchSurface(mesh: TriangleMesh, labels: ToothMap): ArchSurface {
  const vertexCount = mesh.positions.length / 3;
  const adjacency = faceAdjacency(mesh.triangles, vertexCount);
  const clean = cleanLabels(labels, adjacency, triangleAreas(mesh));
  const growing = new Map<ToothNumber, Growing>();
  // 0: not seen yet, MIXED: triangles of several labels meet here.
  const MIXED = 255;
  const vertexLabel = new Uint8Array(vertexCount);
  for (let t = 0; t < clean.length; t += 1) {
    const tooth = clean[t]!;
    for (let k = 0; k < 3; k += 1) {
      const v = mesh.triangles[3 * t + k]!;
      if (tooth === 0) vertexLabel[v] = MIXED;
      else if (vertexLabel[v] === 0) vertexLabel[v] = tooth;
      else if (vertexLabel[v] !== tooth) vertexLabel[v] = MIXED;
    }
    if (tooth === 0) continue;
    let own = growing.get(tooth);
    if (own === undefined) {
      own = { triangles: [], gumLine: [], cutLine: [] };
      growing.set(tooth, own);
    }
    own.triangles.push(t);
    for (let k = 0; k < 3; k += 1) {
      const n = adjacency[3 * t + k]!;
      if (n >= 0 && clean[n] !== 0) continue;
      const line = n < 0 ? own.cutLine : own.gumLine;
      for (const corner of [k, (k + 1) % 3]) {
        const v = mesh.triangles[3 * t + corner]!;
        line.push(mesh.positions[3 * v]!, mesh.positions[3 * v + 1]!, mesh.positions[3 * v + 2]!);
      }
    }
  }
  const inner = new Map<ToothNumber, number[]>();
  for (let v = 0; v < vertexCount; v += 1) {
    const tooth = vertexLabel[v]!;
    if (tooth === 0 || tooth === MIXED) continue;
    const list = inner.get(tooth);
    if (list === undefined) inner.set(tooth, [v]);
    else list.push(v);
  }
  const teeth = new Map<ToothNumber, ToothSurface>();
  for (const [tooth, own] of growing) {
    teeth.set(tooth, {
      tooth,
      triangles: Uint32Array.from(own.triangles),
      vertices: Uint32Array.from(inner.get(tooth) ?? []),
      gumLine: Float64Array.from(own.gumLine),
      cutLine: Float64Array.from(own.cutLine),
    });
  }
  return { mesh, adjacency, labels: clean, normals: vertexNormals(mesh), teeth };
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
  return lengths.length === 0 ? 0 : median(lengths);
}
