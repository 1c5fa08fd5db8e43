import type { OrientedPoints } from './oriented-points.ts';
import { pointNeighbours } from './point-neighbours.ts';

/** Bins per angle, and angles: 33 numbers a point. */
const BINS = 11;
export const HISTOGRAM_LENGTH = 3 * BINS;

/**
 * Fast point feature histograms (R. B. Rusu, N. Blodow, M. Beetz, ICRA 2009): how the normals turn round every point,
 * as three angles of the Darboux frame between it and each neighbour, in bins, with the neighbours' own histograms
 * added by 1/distance. Unchanged by rigid motion; told apart by reflection, so left and right teeth differ.
 *
 * @param reachMm - size of the neighbourhood
 * @returns (n x {@link HISTOGRAM_LENGTH}); a point without neighbours has zeros
 */
export function pointHistograms(cloud: OrientedPoints, reachMm: number): Float32Array {
  const { points } = cloud;
  const count = points.length / 3;
  const neighbours = pointNeighbours(points, reachMm);
  const simple = new Float32Array(count * HISTOGRAM_LENGTH);
  const pair = new Float64Array(4);
  for (let i = 0; i < count; i += 1) {
    const around = neighbours[i]!;
    const share = 1 / Math.max(1, around.length);
    for (const j of around) {
      if (!darbouxAngles(cloud, i, j, pair)) continue;
      const at = i * HISTOGRAM_LENGTH;
      for (let k = 0; k < 3; k += 1) {
        const bin = at + k * BINS + Math.min(BINS - 1, Math.floor(BINS * pair[k]!));
        simple[bin] = simple[bin]! + share;
      }
    }
  }
  const out = simple.slice();
  for (let i = 0; i < count; i += 1) {
    const around = neighbours[i]!;
    for (const j of around) {
      const d = Math.hypot(
        points[3 * j]! - points[3 * i]!,
        points[3 * j + 1]! - points[3 * i + 1]!,
        points[3 * j + 2]! - points[3 * i + 2]!,
      );
      // Weight relative to the reach, so that the histogram does not depend on the unit.
      const weight = reachMm / (Math.max(d, 1e-6 * reachMm) * around.length);
      for (let k = 0; k < HISTOGRAM_LENGTH; k += 1) {
        out[i * HISTOGRAM_LENGTH + k] =
          out[i * HISTOGRAM_LENGTH + k]! + weight * simple[j * HISTOGRAM_LENGTH + k]!;
      }
    }
    normaliseParts(out, i * HISTOGRAM_LENGTH);
  }
  return out;
}

/** Each of the three angles' bins sum to one. */
function normaliseParts(out: Float32Array, at: number): void {
  for (let part = 0; part < 3; part += 1) {
    let sum = 0;
    for (let k = 0; k < BINS; k += 1) sum += out[at + part * BINS + k]!;
    if (sum === 0) continue;
    for (let k = 0; k < BINS; k += 1) out[at + part * BINS + k] = out[at + part * BINS + k]! / sum;
  }
}

/**
 * The three angles between two oriented points, each mapped to 0..1: alpha = v . n2, phi = u . d, theta =
 * atan2(w . n2, u . n2) with u = n1, v = d x u, w = u x v; the point whose normal lies nearer the line is the first.
 * @returns false where the line runs along the normal and gives no frame
 */
function darbouxAngles(
  { points: p, normals: n }: OrientedPoints,
  i: number,
  j: number,
  out: Float64Array,
): boolean {
  let dx = p[3 * j]! - p[3 * i]!;
  let dy = p[3 * j + 1]! - p[3 * i + 1]!;
  let dz = p[3 * j + 2]! - p[3 * i + 2]!;
  const l = Math.sqrt(dx * dx + dy * dy + dz * dz);
  if (l === 0) return false;
  dx /= l;
  dy /= l;
  dz /= l;
  const c1 = n[3 * i]! * dx + n[3 * i + 1]! * dy + n[3 * i + 2]! * dz;
  const c2 = n[3 * j]! * dx + n[3 * j + 1]! * dy + n[3 * j + 2]! * dz;
  let s = i;
  let t = j;
  let phi = c1;
  if (Math.abs(c1) < Math.abs(c2)) {
    s = j;
    t = i;
    dx = -dx;
    dy = -dy;
    dz = -dz;
    phi = -c2;
  }
  const ux = n[3 * s]!;
  const uy = n[3 * s + 1]!;
  const uz = n[3 * s + 2]!;
  let vx = dy * uz - dz * uy;
  let vy = dz * ux - dx * uz;
  let vz = dx * uy - dy * ux;
  const lv = Math.sqrt(vx * vx + vy * vy + vz * vz);
  if (lv < 1e-9) return false;
  vx /= lv;
  vy /= lv;
  vz /= lv;
  const wx = uy * vz - uz * vy;
  const wy = uz * vx - ux * vz;
  const wz = ux * vy - uy * vx;
  const mx = n[3 * t]!;
  const my = n[3 * t + 1]!;
  const mz = n[3 * t + 2]!;
  out[0] = (vx * mx + vy * my + vz * mz + 1) / 2;
  out[1] = (phi + 1) / 2;
  out[2] = (Math.atan2(wx * mx + wy * my + wz * mz, ux * mx + uy * my + uz * mz) + Math.PI) / (2 * Math.PI);
  return true;
}
