import type { Vec3 } from '../../geometry/types.ts';
import { addScaled, cross, dot, normalize, scale } from '../../geometry/vec3.ts';
import type { Sight } from './camera-pose.ts';

/** An open scan faces the crowns' tops with at least this share of its area; a closed base has no such side. */
const LEAST_NET_NORMAL = 0.08;
/** The middle of the bounding box and the middle of the surface must differ by this share of the size, or no guess. */
const LEAST_LOPSIDED = 0.01;

/**
 * How to look at a bare scan before any tooth is known: onto the crowns' tops, the front of the arch up. The open
 * side of a scan has no surface, so the sum of its normals points to the crowns' tops; the front is where the arch is
 * closed, so the middle of the surface lies nearer to it than the middle of its box. A first glance only: nothing is
 * measured from it.
 *
 * @param positions - (n x 3) mm
 * @param normals - (n x 3) unit
 * @returns null when the scan does not tell
 */
export function guessSight(positions: Float32Array, normals: Float32Array): Sight | null {
  const count = positions.length / 3;
  if (count < 3) return null;
  const net: [number, number, number] = [0, 0, 0];
  const mean: [number, number, number] = [0, 0, 0];
  for (let i = 0; i < positions.length; i += 3) {
    net[0] += normals[i]! / count;
    net[1] += normals[i + 1]! / count;
    net[2] += normals[i + 2]! / count;
    mean[0] += positions[i]! / count;
    mean[1] += positions[i + 1]! / count;
    mean[2] += positions[i + 2]! / count;
  }
  const strength = Math.hypot(...net);
  if (strength < LEAST_NET_NORMAL) return null;
  const back: Vec3 = [net[0] / strength, net[1] / strength, net[2] / strength];
  const [e1, e2] = planeAxes(positions, mean, back);
  const lopsided = [e1, e2].map((e) => lopsidedness(positions, mean, e));
  const along = Math.abs(lopsided[0]!) > Math.abs(lopsided[1]!) ? 0 : 1;
  if (Math.abs(lopsided[along]!) < LEAST_LOPSIDED) return null;
  const e = [e1, e2][along]!;
  const sense = lopsided[along]! > 0 ? 1 : -1;
  return { back, up: scale(e, sense) };
}

/** Principal axes of the points within the plane square to `back`: the arch is symmetric about one of them. */
function planeAxes(positions: Float32Array, mean: Vec3, back: Vec3): [Vec3, Vec3] {
  const least = back.map(Math.abs);
  const helper: Vec3 =
    least[0]! <= least[1]! && least[0]! <= least[2]!
      ? [1, 0, 0]
      : least[1]! <= least[2]!
        ? [0, 1, 0]
        : [0, 0, 1];
  const a = normalize(cross(helper, back));
  const b = cross(back, a);
  let aa = 0;
  let ab = 0;
  let bb = 0;
  for (let i = 0; i < positions.length; i += 3) {
    const x = positions[i]! - mean[0];
    const y = positions[i + 1]! - mean[1];
    const z = positions[i + 2]! - mean[2];
    const u = x * a[0] + y * a[1] + z * a[2];
    const v = x * b[0] + y * b[1] + z * b[2];
    aa += u * u;
    ab += u * v;
    bb += v * v;
  }
  // Angle of the principal axes of a 2 x 2 covariance.
  const angle = 0.5 * Math.atan2(2 * ab, aa - bb);
  const c = Math.cos(angle);
  const s = Math.sin(angle);
  return [addScaled(scale(a, c), b, s), addScaled(scale(b, c), a, -s)];
}

/** How far the mean lies from the middle of the extent along `e`, as a share of the extent. */
function lopsidedness(positions: Float32Array, mean: Vec3, e: Vec3): number {
  let low = Infinity;
  let high = -Infinity;
  for (let i = 0; i < positions.length; i += 3) {
    const s = positions[i]! * e[0] + positions[i + 1]! * e[1] + positions[i + 2]! * e[2];
    if (s < low) low = s;
    if (s > high) high = s;
  }
  return high > low ? (dot(mean, e) - (low + high) / 2) / (high - low) : 0;
}
