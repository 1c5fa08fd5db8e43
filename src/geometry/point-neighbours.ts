/** Neighbours of points within a fixed reach, by a hash of cubes. */

/** Three cell numbers in one key: cells per axis. */
const KEY_SPAN = 1 << 17;

/**
 * For every point the others within a reach.
 * @param points - (n x 3) mm
 * @returns per point, the numbers of its neighbours (itself left out), in ascending order
 */
export function pointNeighbours(points: Float64Array, reachMm: number): Int32Array[] {
  const count = points.length / 3;
  const cells = new Map<number, number[]>();
  for (let i = 0; i < count; i += 1) {
    const key = keyOf(points, i, reachMm, 0, 0, 0);
    const list = cells.get(key);
    if (list) list.push(i);
    else cells.set(key, [i]);
  }
  return Array.from({ length: count }, (_, i) => neighboursOf(points, i, reachMm, cells));
}

/** Key of the cube of point i, or of one beside it. */
function keyOf(points: Float64Array, i: number, reachMm: number, dx: number, dy: number, dz: number): number {
  const x = Math.floor(points[3 * i]! / reachMm) + KEY_SPAN / 2 + dx;
  const y = Math.floor(points[3 * i + 1]! / reachMm) + KEY_SPAN / 2 + dy;
  const z = Math.floor(points[3 * i + 2]! / reachMm) + KEY_SPAN / 2 + dz;
  return (x * KEY_SPAN + y) * KEY_SPAN + z;
}

function neighboursOf(
  points: Float64Array,
  i: number,
  reachMm: number,
  cells: ReadonlyMap<number, readonly number[]>,
): Int32Array {
  const reach2 = reachMm * reachMm;
  const found: number[] = [];
  for (let dx = -1; dx <= 1; dx += 1) {
    for (let dy = -1; dy <= 1; dy += 1) {
      for (let dz = -1; dz <= 1; dz += 1) {
        for (const j of cells.get(keyOf(points, i, reachMm, dx, dy, dz)) ?? []) {
          if (j === i) continue;
          const x = points[3 * j]! - points[3 * i]!;
          const y = points[3 * j + 1]! - points[3 * i + 1]!;
          const z = points[3 * j + 2]! - points[3 * i + 2]!;
          if (x * x + y * y + z * z < reach2) found.push(j);
        }
      }
    }
  }
  return Int32Array.from(found).sort();
}
