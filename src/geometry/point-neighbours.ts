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
  const cellOf = (i: number, axis: number): number =>
    Math.floor(points[3 * i + axis]! / reachMm) + KEY_SPAN / 2;
  const keyOf = (x: number, y: number, z: number): number => (x * KEY_SPAN + y) * KEY_SPAN + z;
  const cells = new Map<number, number[]>();
  for (let i = 0; i < count; i += 1) {
    const key = keyOf(cellOf(i, 0), cellOf(i, 1), cellOf(i, 2));
    const list = cells.get(key);
    if (list) list.push(i);
    else cells.set(key, [i]);
  }
  const reach2 = reachMm * reachMm;
  return Array.from({ length: count }, (_, i) => {
    const found: number[] = [];
    for (let dx = -1; dx <= 1; dx += 1) {
      for (let dy = -1; dy <= 1; dy += 1) {
        for (let dz = -1; dz <= 1; dz += 1) {
          for (const j of cells.get(keyOf(cellOf(i, 0) + dx, cellOf(i, 1) + dy, cellOf(i, 2) + dz)) ?? []) {
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
  });
}
