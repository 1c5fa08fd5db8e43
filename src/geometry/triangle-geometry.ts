import { letGo } from './let-go.ts';
import type { TriangleMesh } from './types.ts';

/**
 * Twice-area vector of triangle `t` = (b - a) x (c - a), in double precision, written to `out[0..2]`.
 * Its length is twice the area, its direction the outward normal of a counter-clockwise triangle.
 */
function areaVector(mesh: TriangleMesh, t: number, out: Float64Array): void {
  const { positions, triangles } = mesh;
  const a = triangles[3 * t]! * 3;
  const b = triangles[3 * t + 1]! * 3;
  const c = triangles[3 * t + 2]! * 3;
  const ax = positions[a]!;
  const ay = positions[a + 1]!;
  const az = positions[a + 2]!;
  const ux = positions[b]! - ax;
  const uy = positions[b + 1]! - ay;
  const uz = positions[b + 2]! - az;
  const vx = positions[c]! - ax;
  const vy = positions[c + 1]! - ay;
  const vz = positions[c + 2]! - az;
  out[0] = uy * vz - uz * vy;
  out[1] = uz * vx - ux * vz;
  out[2] = ux * vy - uy * vx;
}

/** Length of triangle side h (3 x triangle + corner), mm. */
export function sideLength(mesh: TriangleMesh, h: number): number {
  const { positions: p, triangles } = mesh;
  const a = 3 * triangles[h]!;
  const b = 3 * triangles[h % 3 === 2 ? h - 2 : h + 1]!;
  const x = p[b]! - p[a]!;
  const y = p[b + 1]! - p[a + 1]!;
  const z = p[b + 2]! - p[a + 2]!;
  return Math.sqrt(x * x + y * y + z * z);
}

/** Area of triangle `t`, mm^2, in single precision: the same number as of `triangleAreas`. */
export function triangleArea(mesh: TriangleMesh, t: number): number {
  areaVector(mesh, t, scratch);
  const x = scratch[0]!;
  const y = scratch[1]!;
  const z = scratch[2]!;
  return Math.fround(0.5 * Math.sqrt(x * x + y * y + z * z));
}

const scratch = new Float64Array(3);

/**
 * Area of every triangle.
 *
 * @returns m values, mm^2
 */
export function triangleAreas(mesh: TriangleMesh): Float32Array {
  const areas = new Float32Array(mesh.triangles.length / 3);
  for (let t = 0; t < areas.length; t++) areas[t] = triangleArea(mesh, t);
  return areas;
}

/**
 * Outward normal times area of every triangle.
 *
 * @returns (m x 3), mm^2; (0, 0, 0) for a triangle without area
 */
export function areaVectors(mesh: TriangleMesh): Float32Array {
  const count = mesh.triangles.length / 3;
  const vectors = new Float32Array(3 * count);
  const n = new Float64Array(3);
  for (let t = 0; t < count; t++) {
    areaVector(mesh, t, n);
    for (let k = 0; k < 3; k++) vectors[3 * t + k] = 0.5 * n[k]!;
  }
  return vectors;
}

/**
 * Mean of the three corners of triangle `t`, mm, written to `out[0..2]`: the same numbers as of `triangleCentroids`.
 */
export function writeCentroid({ positions, triangles }: TriangleMesh, t: number, out: Float32Array): void {
  const a = triangles[3 * t]! * 3;
  const b = triangles[3 * t + 1]! * 3;
  const c = triangles[3 * t + 2]! * 3;
  out[0] = (positions[a]! + positions[b]! + positions[c]!) / 3;
  out[1] = (positions[a + 1]! + positions[b + 1]! + positions[c + 1]!) / 3;
  out[2] = (positions[a + 2]! + positions[b + 2]! + positions[c + 2]!) / 3;
}

/**
 * Mean of the three corners of every triangle.
 *
 * @returns (m x 3), mm, same frame as the mesh
 */
export function triangleCentroids(mesh: TriangleMesh): Float32Array {
  const { positions, triangles } = mesh;
  const count = triangles.length / 3;
  const centroids = new Float32Array(3 * count);
  for (let t = 0; t < count; t++) {
    const a = triangles[3 * t]! * 3;
    const b = triangles[3 * t + 1]! * 3;
    const c = triangles[3 * t + 2]! * 3;
    for (let k = 0; k < 3; k++) {
      centroids[3 * t + k] = (positions[a + k]! + positions[b + k]! + positions[c + k]!) / 3;
    }
  }
  return centroids;
}

/**
 * Outward unit normal of every triangle (right-hand rule on the corner order).
 *
 * @returns (m x 3); (0, 0, 0) for a triangle without area
 */
export function triangleNormals(mesh: TriangleMesh): Float32Array {
  const count = mesh.triangles.length / 3;
  const normals = new Float32Array(3 * count);
  const n = new Float64Array(3);
  for (let t = 0; t < count; t++) {
    areaVector(mesh, t, n);
    const length = Math.sqrt(n[0]! * n[0]! + n[1]! * n[1]! + n[2]! * n[2]!);
    if (length > 0) {
      normals[3 * t] = n[0]! / length;
      normals[3 * t + 1] = n[1]! / length;
      normals[3 * t + 2] = n[2]! / length;
    }
  }
  return normals;
}

/**
 * Unit normal of every vertex: the sum of its triangles' normals weighted by their areas, normalised.
 *
 * @returns (n x 3); (0, 0, 0) for a vertex without triangles or whose triangles cancel exactly
 */
export function vertexNormals(mesh: TriangleMesh): Float32Array {
  const { positions, triangles } = mesh;
  const count = triangles.length / 3;
  const sums = new Float64Array(positions.length);
  const n = new Float64Array(3);
  for (let t = 0; t < count; t++) {
    areaVector(mesh, t, n);
    for (let k = 0; k < 3; k++) {
      const v = triangles[3 * t + k]! * 3;
      sums[v] = sums[v]! + n[0]!;
      sums[v + 1] = sums[v + 1]! + n[1]!;
      sums[v + 2] = sums[v + 2]! + n[2]!;
    }
  }
  const normals = new Float32Array(positions.length);
  for (let v = 0; v < positions.length; v += 3) {
    const x = sums[v]!;
    const y = sums[v + 1]!;
    const z = sums[v + 2]!;
    const length = Math.sqrt(x * x + y * y + z * z);
    if (length > 0) {
      normals[v] = x / length;
      normals[v + 1] = y / length;
      normals[v + 2] = z / length;
    }
  }
  letGo(sums);
  return normals;
}

/**
 * Signed volume by the divergence theorem: positive for a closed mesh whose triangles are counter-clockwise seen
 * from outside. Means nothing for an open mesh.
 *
 * @returns mm^3
 */
export function signedVolume(mesh: TriangleMesh): number {
  const { positions, triangles } = mesh;
  // Relative to the first vertex, so that a mesh far from the origin does not cancel away its own volume.
  const ox = positions[0] ?? 0;
  const oy = positions[1] ?? 0;
  const oz = positions[2] ?? 0;
  let sum = 0;
  for (let i = 0; i < triangles.length; i += 3) {
    const a = triangles[i]! * 3;
    const b = triangles[i + 1]! * 3;
    const c = triangles[i + 2]! * 3;
    const ax = positions[a]! - ox;
    const ay = positions[a + 1]! - oy;
    const az = positions[a + 2]! - oz;
    const bx = positions[b]! - ox;
    const by = positions[b + 1]! - oy;
    const bz = positions[b + 2]! - oz;
    const cx = positions[c]! - ox;
    const cy = positions[c + 1]! - oy;
    const cz = positions[c + 2]! - oz;
    sum += ax * (by * cz - bz * cy) + ay * (bz * cx - bx * cz) + az * (bx * cy - by * cx);
  }
  return sum / 6;
}
