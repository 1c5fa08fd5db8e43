import type { Vec3 } from './types.ts';

/** Points in a hash of cubes: nearest distance within a fixed reach. */
export interface PointGrid {
  readonly reachMm: number;
  /** Distance from p to the nearest point, or the reach when none is nearer, mm. */
  distanceTo(p: Vec3): number;
}

/** Three 21-bit cell numbers in one double would lose bits; two primes keep keys apart well enough to be quick. */
const PRIME_Y = 73856093;
const PRIME_Z = 19349663;

/**
 * @param points - (n x 3) mm; may be empty
 * @param reachMm - distances are cut off here; also the cube's edge
 */
export function makePointGrid(points: ArrayLike<number>, reachMm: number): PointGrid {
  const cells = new Map<number, number[]>();
  const cell = (x: number): number => Math.floor(x / reachMm);
  const key = (i: number, j: number, k: number): number => i + PRIME_Y * j + PRIME_Z * k;
  for (let p = 0; p < points.length; p += 3) {
    const name = key(cell(points[p]!), cell(points[p + 1]!), cell(points[p + 2]!));
    const list = cells.get(name);
    if (list === undefined) cells.set(name, [p]);
    else list.push(p);
  }
  const distanceTo = (p: Vec3): number => {
    if (cells.size === 0) return reachMm;
    let best2 = reachMm * reachMm;
    const i = cell(p[0]);
    const j = cell(p[1]);
    const k = cell(p[2]);
    for (let di = -1; di <= 1; di += 1) {
      for (let dj = -1; dj <= 1; dj += 1) {
        for (let dk = -1; dk <= 1; dk += 1) {
          // Cells that share a key are all looked at: a collision costs time, never the answer.
          const list = cells.get(key(i + di, j + dj, k + dk));
          if (list === undefined) continue;
          for (const at of list) {
            const x = points[at]! - p[0];
            const y = points[at + 1]! - p[1];
            const z = points[at + 2]! - p[2];
            best2 = Math.min(best2, x * x + y * y + z * z);
          }
        }
      }
    }
    return Math.sqrt(best2);
  };
  return { reachMm, distanceTo };
}
