import type { IndexedSurface } from './surface-index.ts';
import { makePairBuffer, type PairBuffer, triangleDistance } from './triangle-distance.ts';
import type { ClosestPair } from './types.ts';

/** A search for the closest pair of two surfaces, while leaves are compared. */
export interface LeafSearch {
  readonly a: IndexedSurface;
  readonly b: IndexedSurface;
  /** Square of the smallest distance so far, or of the farthest that counts, mm^2. */
  best2: number;
  found: ClosestPair | null;
  /** Corners of the two triangles that are compared. */
  readonly ta: Float64Array;
  readonly tb: Float64Array;
  readonly pair: PairBuffer;
  /** Plane of each triangle of B's leaf: normal (its length twice the area) and squared length. */
  planes: Float64Array;
  readonly plane: Float64Array;
}

/**
 * Rounding must not let a plane's distance exceed that of its triangle: far more than double precision needs, and the
 * triangles within it are only compared, not lost.
 */
const PLANE_SLACK = 1 + 1e-9;
const PLANE_NUMBERS = 4;

/** @param maxMm - only what is nearer is found */
export function startLeafSearch(a: IndexedSurface, b: IndexedSurface, maxMm: number): LeafSearch {
  return {
    a,
    b,
    best2: maxMm * maxMm,
    found: null,
    ta: new Float64Array(9),
    tb: new Float64Array(9),
    pair: makePairBuffer(),
    planes: new Float64Array(PLANE_NUMBERS * 16),
    plane: new Float64Array(PLANE_NUMBERS),
  };
}

/**
 * Every triangle of A's leaf i with every one of B's leaf j. Of walls that run side by side, nearly all pairs are told
 * off by a plane of one of the two (a triangle that keeps its distance from the other's plane keeps it from the
 * other), the rest by their boxes; few are measured.
 */
export function compareLeaves(search: LeafSearch, i: number, j: number): void {
  const { a, b, ta, tb, plane, pair } = search;
  const [firstB, countB] = [b.first[j]!, b.count[j]!];
  if (search.planes.length < PLANE_NUMBERS * countB) search.planes = new Float64Array(PLANE_NUMBERS * countB);
  const { planes } = search;
  for (let n = 0; n < countB; n += 1) writePlane(b.corners, 9 * (firstB + n), planes, PLANE_NUMBERS * n);
  for (let m = a.first[i]!; m < a.first[i]! + a.count[i]!; m += 1) {
    writePlane(a.corners, 9 * m, plane, 0);
    for (let n = 0; n < countB; n += 1) {
      const at = 9 * (firstB + n);
      const tooFar2 = search.best2 * PLANE_SLACK;
      if (isBeyond(planes, PLANE_NUMBERS * n, b.corners, at, a.corners, 9 * m, tooFar2)) continue;
      if (isBeyond(plane, 0, a.corners, 9 * m, b.corners, at, tooFar2)) continue;
      if (boxesDistance2(a.corners, 9 * m, b.corners, at) >= search.best2) continue;
      for (let k = 0; k < 9; k += 1) {
        ta[k] = a.corners[9 * m + k]!;
        tb[k] = b.corners[at + k]!;
      }
      const d2 = triangleDistance(ta, tb, pair);
      if (d2 >= search.best2) continue;
      search.best2 = d2;
      search.found = {
        distanceMm: Math.sqrt(d2),
        a: [pair[1]!, pair[2]!, pair[3]!],
        b: [pair[4]!, pair[5]!, pair[6]!],
        triangleA: a.triangles[m]!,
        triangleB: b.triangles[firstB + n]!,
      };
    }
  }
}

function writePlane(c: Float64Array, t: number, planes: Float64Array, at: number): void {
  const ax = c[t]!;
  const ay = c[t + 1]!;
  const az = c[t + 2]!;
  const abx = c[t + 3]! - ax;
  const aby = c[t + 4]! - ay;
  const abz = c[t + 5]! - az;
  const acx = c[t + 6]! - ax;
  const acy = c[t + 7]! - ay;
  const acz = c[t + 8]! - az;
  const nx = aby * acz - abz * acy;
  const ny = abz * acx - abx * acz;
  const nz = abx * acy - aby * acx;
  planes[at] = nx;
  planes[at + 1] = ny;
  planes[at + 2] = nz;
  planes[at + 3] = nx * nx + ny * ny + nz * nz;
}

/** Whether the triangle at u of `d` lies on one side of the plane of the one at t of `c`, farther from it than asked. */
function isBeyond(
  planes: Float64Array,
  at: number,
  c: Float64Array,
  t: number,
  d: Float64Array,
  u: number,
  tooFar2: number,
): boolean {
  const nx = planes[at]!;
  const ny = planes[at + 1]!;
  const nz = planes[at + 2]!;
  const x = c[t]!;
  const y = c[t + 1]!;
  const z = c[t + 2]!;
  const h0 = nx * (d[u]! - x) + ny * (d[u + 1]! - y) + nz * (d[u + 2]! - z);
  const h1 = nx * (d[u + 3]! - x) + ny * (d[u + 4]! - y) + nz * (d[u + 5]! - z);
  const h2 = nx * (d[u + 6]! - x) + ny * (d[u + 7]! - y) + nz * (d[u + 8]! - z);
  const least = Math.min(h0, h1, h2);
  const h = least > 0 ? least : Math.min(0, Math.max(h0, h1, h2));
  return h * h > tooFar2 * planes[at + 3]!;
}

/** Squared distance of the boxes round the triangle at t of `c` and the one at u of `d`. */
function boxesDistance2(c: Float64Array, t: number, d: Float64Array, u: number): number {
  let d2 = 0;
  for (let k = 0; k < 3; k += 1) {
    const p = c[t + k]!;
    const q = c[t + 3 + k]!;
    const r = c[t + 6 + k]!;
    const x = d[u + k]!;
    const y = d[u + 3 + k]!;
    const z = d[u + 6 + k]!;
    const apart = Math.max(Math.min(x, y, z) - Math.max(p, q, r), Math.min(p, q, r) - Math.max(x, y, z));
    if (apart > 0) d2 += apart * apart;
  }
  return d2;
}
