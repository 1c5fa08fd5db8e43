import { triangleAreas, triangleCentroids, triangleNormals } from './triangle-geometry.ts';
import type { TriangleMesh } from './types.ts';

/** Points of a surface with their outward normals. */
export interface OrientedPoints {
  /** (n x 3) mm. */
  readonly points: Float64Array;
  /** (n x 3) unit normals. */
  readonly normals: Float64Array;
}

/** Below this share of the area in a cell the normals point every way: an edge or two sheets, no direction. */
const LEAST_AGREEMENT = 0.5;
/** Cells per axis that a key can hold; 2^17 cells of a tenth of a millimetre are 13 m. */
const KEY_SPAN = 1 << 17;

/** Sums of one cube: area x centroid (3), area vector (3), area. */
const CELL = 7;

/**
 * An even sample of a surface: one point per occupied cube, the triangle centroid nearest the mean place in it (a mean
 * of a curved surface would lie beside it), with the area-weighted mean normal. Cubes in which the normals do not
 * agree give no point.
 *
 * @param spacingMm - edge of the cubes
 */
export function sampleOrientedPoints(mesh: TriangleMesh, spacingMm: number): OrientedPoints {
  const count = mesh.triangles.length / 3;
  const centroids = triangleCentroids(mesh);
  const normals = triangleNormals(mesh);
  const areas = triangleAreas(mesh);
  const cells = new Map<number, number>();
  const cellOf = new Int32Array(count).fill(-1);
  const sums: number[] = [];
  for (let t = 0; t < count; t += 1) {
    const key = cellKey(centroids, t, spacingMm);
    let at = cells.get(key);
    if (at === undefined) {
      at = sums.length;
      cells.set(key, at);
      for (let k = 0; k < CELL; k += 1) sums.push(0);
    }
    cellOf[t] = at;
    const area = areas[t]!;
    for (let k = 0; k < 3; k += 1) {
      sums[at + k] = sums[at + k]! + area * centroids[3 * t + k]!;
      sums[at + 3 + k] = sums[at + 3 + k]! + area * normals[3 * t + k]!;
    }
    sums[at + 6] = sums[at + 6]! + area;
  }
  const places = nearestCentroids(centroids, cellOf, sums);
  const points: number[] = [];
  const directions: number[] = [];
  for (let at = 0; at < sums.length; at += CELL) {
    const area = sums[at + 6]!;
    const l = Math.hypot(sums[at + 3]!, sums[at + 4]!, sums[at + 5]!);
    if (!(area > 0) || l < LEAST_AGREEMENT * area) continue;
    const t = places[at / CELL]!;
    for (let k = 0; k < 3; k += 1) {
      points.push(centroids[3 * t + k]!);
      directions.push(sums[at + 3 + k]! / l);
    }
  }
  return { points: Float64Array.from(points), normals: Float64Array.from(directions) };
}

function cellKey(centroids: Float32Array, t: number, spacingMm: number): number {
  let key = 0;
  for (let k = 0; k < 3; k += 1) {
    key = key * KEY_SPAN + Math.floor(centroids[3 * t + k]! / spacingMm) + KEY_SPAN / 2;
  }
  return key;
}

/** Per cube, the triangle whose centroid lies nearest to the mean place of the cube. */
function nearestCentroids(centroids: Float32Array, cellOf: Int32Array, sums: readonly number[]): Int32Array {
  const places = new Int32Array(sums.length / CELL).fill(-1);
  const best = new Float64Array(sums.length / CELL).fill(Number.POSITIVE_INFINITY);
  for (let t = 0; t < cellOf.length; t += 1) {
    const at = cellOf[t]!;
    if (at < 0) continue;
    const area = sums[at + 6]!;
    let d2 = 0;
    for (let k = 0; k < 3; k += 1) d2 += (centroids[3 * t + k]! - sums[at + k]! / area) ** 2;
    if (d2 >= best[at / CELL]!) continue;
    best[at / CELL] = d2;
    places[at / CELL] = t;
  }
  return places;
}
