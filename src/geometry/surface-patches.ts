/**
 * A surface as a cloud of small patches: the points inside each cube of a grid, averaged. Coordinates are whatever the
 * points were given in.
 */
export interface SurfacePatches {
  readonly count: number;
  /** (n x 3) means of the points, mm. */
  readonly points: Float64Array;
  /** (n x 3) unit means of the normals. */
  readonly normals: Float64Array;
  /** Side of the cubes, mm. */
  readonly cellMm: number;
  /** Patch of every cube, or -1; z runs fastest. */
  readonly cells: Int32Array;
  /** Number of cubes along x, y, z. */
  readonly size: readonly [number, number, number];
  /** The least cube's number along x, y, z; cube 0 has the origin in its middle. */
  readonly first: readonly [number, number, number];
}

/** A wide cloud gets larger cubes instead of more than this many. */
const MOST_CELLS = 1 << 20;

/**
 * Averages points and normals in cubes. The patches of a cloud do not depend on the order of its points (but for
 * rounding), weigh equal areas alike, and have less of the scan's noise than single points.
 *
 * @param points - (n x 3), at least one, mm
 * @param normals - (n x 3) unit
 * @param cellMm - side of the cubes; doubled until a wide cloud fits
 */
export function averagePatches(
  points: ArrayLike<number>,
  normals: ArrayLike<number>,
  cellMm: number,
): SurfacePatches {
  const axes = [0, 1, 2].map((c) => range(points, c).map((x) => cubeOf(x, cellMm)));
  const first: [number, number, number] = [axes[0]![0]!, axes[1]![0]!, axes[2]![0]!];
  const size = axes.map(([low, high]) => high! - low! + 1) as [number, number, number];
  if (size[0] * size[1] * size[2] > MOST_CELLS) return averagePatches(points, normals, 2 * cellMm);
  const cells = new Int32Array(size[0] * size[1] * size[2]).fill(-1);
  const members = new Uint32Array(points.length / 3);
  const count = numberPatches(points, cellMm, first, size, cells, members);
  const means = new Float64Array(3 * count);
  const directions = new Float64Array(3 * count);
  averageMembers(points, normals, members, means, directions);
  return { count, points: means, normals: directions, cellMm, cells, size, first };
}

/**
 * Numbers the cubes with points in the order of their first points.
 *
 * @param cells - -1 all over; the number of every cube with points is filled in
 * @param members - the number of every point's cube is filled in
 * @returns how many there are
 */
function numberPatches(
  points: ArrayLike<number>,
  cellMm: number,
  first: readonly [number, number, number],
  size: readonly [number, number, number],
  cells: Int32Array,
  members: Uint32Array,
): number {
  let count = 0;
  for (let i = 0; i < members.length; i += 1) {
    const a = cubeOf(points[3 * i]!, cellMm) - first[0];
    const b = cubeOf(points[3 * i + 1]!, cellMm) - first[1];
    const c = cubeOf(points[3 * i + 2]!, cellMm) - first[2];
    const cell = (a * size[1] + b) * size[2] + c;
    if (cells[cell] === -1) cells[cell] = count++;
    members[i] = cells[cell]!;
  }
  return count;
}

/** Fills in the mean point and the unit mean normal of every patch; both zero before. */
function averageMembers(
  points: ArrayLike<number>,
  normals: ArrayLike<number>,
  members: Uint32Array,
  means: Float64Array,
  directions: Float64Array,
): void {
  const weights = new Float64Array(means.length / 3);
  for (let i = 0; i < members.length; i += 1) {
    const patch = members[i]!;
    weights[patch]! += 1;
    for (let c = 0; c < 3; c += 1) {
      means[3 * patch + c]! += points[3 * i + c]!;
      directions[3 * patch + c]! += normals[3 * i + c]!;
    }
  }
  for (let patch = 0; patch < weights.length; patch += 1) {
    const at = 3 * patch;
    // Normals that cancel tell no direction; the patch then agrees with none.
    const length = Math.hypot(directions[at]!, directions[at + 1]!, directions[at + 2]!) || 1;
    for (let c = 0; c < 3; c += 1) {
      means[at + c]! /= weights[patch]!;
      directions[at + c]! /= length;
    }
  }
}

/** The patch nearest to a point, or -1 where none is within reach. */
export function nearestPatch(
  patches: SurfacePatches,
  x: number,
  y: number,
  z: number,
  reachMm: number,
): number {
  const { points, cellMm, cells, size, first } = patches;
  const i = cubeOf(x, cellMm);
  const j = cubeOf(y, cellMm);
  const k = cubeOf(z, cellMm);
  let best = -1;
  let best2 = reachMm * reachMm;
  // Shells of cubes outwards; what lies beyond shell r is farther than r cubes. Slabs and columns of cubes that lie
  // farther than the best are passed over.
  for (let r = 0; r === 0 || ((r - 1) * cellMm) ** 2 < best2; r += 1) {
    const [aFrom, aTo] = [Math.max(first[0], i - r), Math.min(first[0] + size[0] - 1, i + r)];
    const [bFrom, bTo] = [Math.max(first[1], j - r), Math.min(first[1] + size[1] - 1, j + r)];
    for (let a = aFrom; a <= aTo; a += 1) {
      const slab2 = aside2(x, i, a, cellMm);
      if (slab2 >= best2) continue;
      for (let b = bFrom; b <= bTo; b += 1) {
        const column2 = slab2 + aside2(y, j, b, cellMm);
        if (column2 >= best2) continue;
        // Inside the shell only its bottom and its top are new.
        const step = Math.abs(a - i) === r || Math.abs(b - j) === r ? 1 : Math.max(1, 2 * r);
        const row = ((a - first[0]) * size[1] + b - first[1]) * size[2] - first[2];
        for (let c = k - r; c <= k + r; c += step) {
          if (c < first[2] || c >= first[2] + size[2]) continue;
          const patch = cells[row + c]!;
          if (patch === -1) continue;
          const dx = points[3 * patch]! - x;
          const dy = points[3 * patch + 1]! - y;
          const dz = points[3 * patch + 2]! - z;
          const d2 = dx * dx + dy * dy + dz * dz;
          if (d2 >= best2) continue;
          best2 = d2;
          best = patch;
        }
      }
    }
  }
  return best;
}

/** Square of the distance from x, in cube `own`, to the cubes numbered `other` along one axis. */
function aside2(x: number, own: number, other: number, cellMm: number): number {
  if (other === own) return 0;
  const edge = (other < own ? other + 0.5 : other - 0.5) * cellMm;
  return (x - edge) ** 2;
}

function cubeOf(x: number, cellMm: number): number {
  return Math.floor(x / cellMm + 0.5);
}

function range(points: ArrayLike<number>, c: number): [number, number] {
  let low = points[c]!;
  let high = low;
  for (let i = c; i < points.length; i += 3) {
    low = Math.min(low, points[i]!);
    high = Math.max(high, points[i]!);
  }
  return [low, high];
}
