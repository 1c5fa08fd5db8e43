import type { Vec3 } from './types.ts';

/** Points in a box of cubes: nearest distance within a fixed reach. */
export interface PointGrid {
  readonly reachMm: number;
  /** Distance from p to the nearest point, or the reach when none is nearer, mm. */
  distanceTo(p: Vec3): number;
  /** Whether a point lies nearer to (x, y, z) than the reach: ends at the first one, and nothing is made for the answer. */
  isNear(x: number, y: number, z: number): boolean;
}

/** A wide, thin cloud gets larger cubes instead of more than this many. */
const MOST_CELLS = 1 << 16;

/** Where a square is so much below that of the reach, the root is below the reach to the last bit. */
const SURELY = 1 - 2 ** -50;

/**
 * @param points - (n x 3) mm, finite; may be empty
 * @param reachMm - distances are cut off here
 */
export function makePointGrid(points: ArrayLike<number>, reachMm: number): PointGrid {
  const count = points.length / 3;
  if (count === 0) return { reachMm, distanceTo: () => reachMm, isNear: () => false };
  const ends = boxOf(points);
  const size = [ends[3]! - ends[0]!, ends[4]! - ends[1]!, ends[5]! - ends[2]!];
  const cellMm = cellSize(size, reachMm);
  const cells = cellsOf(size, cellMm) as [number, number, number];
  const box = Float64Array.of(ends[0]!, ends[1]!, ends[2]!, cellMm, ...cells, reachMm);
  const cellOf = cubesOf(points, box);
  // Points sorted by their cubes, counted first: start[c] to start[c + 1] are those of cube c.
  const start = new Uint32Array(cells[0] * cells[1] * cells[2] + 1);
  const sorted = new Float64Array(3 * count);
  sortByCube(points, cellOf, start, sorted);
  const surely2 = SURELY * reachMm * reachMm;
  return {
    reachMm,
    distanceTo: ([x, y, z]) => Math.sqrt(nearestSquared(start, sorted, box, x, y, z, 0)),
    isNear: (x, y, z) => Math.sqrt(nearestSquared(start, sorted, box, x, y, z, surely2)) < reachMm,
  };
}

/** The cube of every point. @param box - see {@link nearestSquared} */
function cubesOf(points: ArrayLike<number>, box: Float64Array): Uint32Array {
  const [x0, y0, z0, cellMm] = [box[0]!, box[1]!, box[2]!, box[3]!];
  const [nx, ny] = [box[4]!, box[5]!];
  const cellOf = new Uint32Array(points.length / 3);
  for (let i = 0; i < cellOf.length; i += 1) {
    cellOf[i] =
      Math.floor((points[3 * i]! - x0) / cellMm) +
      nx *
        (Math.floor((points[3 * i + 1]! - y0) / cellMm) +
          ny * Math.floor((points[3 * i + 2]! - z0) / cellMm));
  }
  return cellOf;
}

/** Fills in where the points of every cube begin, and the points in that order. */
function sortByCube(
  points: ArrayLike<number>,
  cellOf: Uint32Array,
  start: Uint32Array,
  sorted: Float64Array,
): void {
  for (let i = 0; i < cellOf.length; i += 1) start[cellOf[i]! + 1]! += 1;
  for (let c = 1; c < start.length; c += 1) start[c]! += start[c - 1]!;
  const fill = start.slice();
  for (let i = 0; i < cellOf.length; i += 1) {
    const at = 3 * fill[cellOf[i]!]!++;
    for (let c = 0; c < 3; c += 1) sorted[at + c] = points[3 * i + c]!;
  }
}

/**
 * Outside of the grid's own function, as that one is made anew with every grid and would be compiled anew, too.
 * @param box - least corner of the cubes (3, mm), their size, mm, their number along each axis (3), reach, mm
 * @param enough2 - the search ends at the first point nearer than this, mm^2
 * @returns squared distance of the nearest point, or of that first one; that of the reach where none is nearer, mm^2
 */
function nearestSquared(
  start: Uint32Array,
  sorted: Float64Array,
  box: Float64Array,
  x: number,
  y: number,
  z: number,
  enough2: number,
): number {
  const cellMm = box[3]!;
  const nx = box[4]!;
  const ny = box[5]!;
  let best2 = box[7]! * box[7]!;
  const i = Math.floor((x - box[0]!) / cellMm);
  const j = Math.floor((y - box[1]!) / cellMm);
  const k = Math.floor((z - box[2]!) / cellMm);
  const iFrom = Math.max(0, i - 1);
  const iTo = Math.min(nx - 1, i + 1);
  if (iFrom > iTo) return best2;
  for (let kk = Math.max(0, k - 1); kk <= Math.min(box[6]! - 1, k + 1); kk += 1) {
    for (let jj = Math.max(0, j - 1); jj <= Math.min(ny - 1, j + 1); jj += 1) {
      // The cubes of one row lie side by side in `sorted`.
      const row = nx * (jj + ny * kk);
      const end = 3 * start[row + iTo + 1]!;
      for (let at = 3 * start[row + iFrom]!; at < end; at += 3) {
        const dx = sorted[at]! - x;
        const dy = sorted[at + 1]! - y;
        const dz = sorted[at + 2]! - z;
        const d2 = dx * dx + dy * dy + dz * dz;
        if (d2 >= best2) continue;
        if (d2 < enough2) return d2;
        best2 = d2;
      }
    }
  }
  return best2;
}

/** Least (3) and greatest coordinates (3), mm. */
function boxOf(points: ArrayLike<number>): Float64Array {
  const ends = new Float64Array(6);
  for (let c = 0; c < 3; c += 1) {
    let low = points[c]!;
    let high = low;
    for (let p = c; p < points.length; p += 3) {
      low = Math.min(low, points[p]!);
      high = Math.max(high, points[p]!);
    }
    ends[c] = low;
    ends[3 + c] = high;
  }
  return ends;
}

function cellsOf(size: readonly number[], cellMm: number): number[] {
  return size.map((mm) => Math.floor(mm / cellMm) + 1);
}

/** The reach, or as much more as keeps the number of cubes in bounds. */
function cellSize(size: readonly number[], reachMm: number): number {
  let cellMm = reachMm;
  while (cellsOf(size, cellMm).reduce((product, n) => product * n, 1) > MOST_CELLS) cellMm *= 2;
  return cellMm;
}
