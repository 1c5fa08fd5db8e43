import { median } from './median.ts';
import type { TriangleMesh } from './types.ts';

/** Raw face normals may call an edge concave too, at this share of their curvature (coarse meshes only). */
const RAW_SHARE = 0.7;

/** Sides that tell a typical length well enough. */
const MOST_SIDES = 60_000;
/** Curvatures beyond this (radius 0.02 mm) are slivers, not surface, 1/mm. */
const MOST_CURVATURE = 50;

/**
 * Typical edge length: median over the triangles' sides, in the mesh's unit. A median, as the long triangles of a
 * trimmed model base say nothing about the teeth. On more sides than `MOST_SIDES` an even sample is taken.
 */
export function typicalEdgeLength(mesh: TriangleMesh): number {
  const { positions: p, triangles } = mesh;
  const step = Math.max(1, Math.floor(triangles.length / MOST_SIDES));
  const lengths = new Float32Array(Math.ceil(triangles.length / step));
  for (let h = 0, k = 0; h < triangles.length; h += step, k++) {
    const a = 3 * triangles[h]!;
    const b = 3 * triangles[h % 3 === 2 ? h - 2 : h + 1]!;
    const x = p[b]! - p[a]!;
    const y = p[b + 1]! - p[a + 1]!;
    const z = p[b + 2]! - p[a + 2]!;
    lengths[k] = Math.sqrt(x * x + y * y + z * z);
  }
  return lengths.length > 0 ? median(lengths) : 0;
}

export interface CrossingCurvatureInput {
  readonly mesh: TriangleMesh;
  readonly adjacency: Int32Array;
  /** (n x 3) smoothed unit normals. */
  readonly vertexNormals: Float32Array;
  /** (m x 3) raw normals and centroids of the faces: given for coarse meshes, where smoothing hides a fold. */
  readonly faces: { readonly normals: Float32Array; readonly centroids: Float32Array } | null;
}

/**
 * Normal curvature of the surface in the direction that crosses each interior edge: K = (Nb - Na).(pb - pa) /
 * |pb - pa|^2 with a and b the vertices opposite the edge. Negative = concave (a fold or valley runs along the edge).
 *
 * @returns (m x 3) one value per triangle side, equal on both sides of an edge, 1/mm; 0 on open edges
 */
export function crossingCurvature(input: CrossingCurvatureInput): Float32Array {
  const { mesh, adjacency } = input;
  const { triangles } = mesh;
  const curvature = new Float32Array(triangles.length);
  for (let h = 0; h < triangles.length; h++) {
    const g = adjacency[h]!;
    const f = (h / 3) | 0;
    if (g <= f) continue;
    const opposite = cornerOpposite(triangles, f, h, g);
    const value = acrossSide(input, f, h, g, opposite);
    curvature[h] = value;
    curvature[3 * g + ((opposite + 1) % 3)] = value;
  }
  return curvature;
}

/** The same number for one triangle side: of a heavy scan they are too many to be kept for the few that are asked for. */
export function curvatureAcross(input: CrossingCurvatureInput, side: number): number {
  const f = (side / 3) | 0;
  const g = input.adjacency[side]!;
  if (g < 0 || g === f) return 0;
  return Math.fround(acrossSide(input, f, side, g, cornerOpposite(input.mesh.triangles, f, side, g)));
}

/** The corner of triangle g that does not lie on side h of triangle f. */
function cornerOpposite(triangles: Uint32Array, f: number, h: number, g: number): number {
  const u = triangles[h]!;
  const v = triangles[3 * f + ((h - 3 * f + 1) % 3)]!;
  let opposite = 0;
  while (opposite < 2 && (triangles[3 * g + opposite] === u || triangles[3 * g + opposite] === v)) opposite++;
  return opposite;
}

function acrossSide(
  { mesh, vertexNormals, faces }: CrossingCurvatureInput,
  f: number,
  h: number,
  g: number,
  opposite: number,
): number {
  const { positions, triangles } = mesh;
  const a = triangles[3 * f + ((h - 3 * f + 2) % 3)]!;
  const value = along(positions, vertexNormals, a, triangles[3 * g + opposite]!);
  return faces ? Math.min(value, RAW_SHARE * along(faces.centroids, faces.normals, f, g)) : value;
}

function along(points: Float32Array, normals: Float32Array, a: number, b: number): number {
  const x = points[3 * b]! - points[3 * a]!;
  const y = points[3 * b + 1]! - points[3 * a + 1]!;
  const z = points[3 * b + 2]! - points[3 * a + 2]!;
  const d2 = x * x + y * y + z * z;
  if (d2 === 0) return 0;
  const nx = normals[3 * b]! - normals[3 * a]!;
  const ny = normals[3 * b + 1]! - normals[3 * a + 1]!;
  const nz = normals[3 * b + 2]! - normals[3 * a + 2]!;
  return Math.max(-MOST_CURVATURE, Math.min(MOST_CURVATURE, (nx * x + ny * y + nz * z) / d2));
}
