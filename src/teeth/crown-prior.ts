import { letGo } from '../geometry/let-go.ts';
import { dot } from '../geometry/vec3.ts';
import { SEGMENT } from './segment-settings.ts';
import type { CrownFrame } from './types.ts';

/** How far each place is from each expected crown, in crown radii. */
export interface CrownPrior {
  /** Per tooth, the places inside its window. */
  readonly windows: readonly Int32Array[];
  /** Per tooth, the generalised radius at every place of its window, in the window's order. */
  readonly rho: readonly Float32Array[];
  /** How near to where it may end a crown is, least of all crowns: see `crownPrior`. */
  readonly lateral: Float32Array;
  /** Nearest tooth (index) by rho and its rho; -1 and infinity where no window reaches. */
  readonly nearest: Int16Array;
  readonly least: Float32Array;
}

/**
 * Measures places against expected crowns: rho = cbrt(|x/limit|^3 + |y/(B/2)|^3 + max(0, depth/H)^3) with x along
 * the arch, y across it and depth below the crown's top.
 *
 * A crown ends at its neighbour near its top or at the gum well below it: lateral = sqrt((x/limit)^2 + (y/(B/2))^2), where
 * the parts that lead to gum (y, and x on a free side) are reduced to nothing at the top and count in full from
 * `marginDepth` of the crown's height down. A fold where lateral is small is a fissure.
 *
 * @param points - (n x 3) places, mm
 */
export function crownPrior(points: Float32Array, frames: readonly CrownFrame[]): CrownPrior {
  const n = points.length / 3;
  const lateral = new Float32Array(n).fill(Number.POSITIVE_INFINITY);
  const nearest = new Int16Array(n).fill(-1);
  const least = new Float32Array(n).fill(Number.POSITIVE_INFINITY);
  const inside = new Int32Array(n);
  const radius = new Float32Array(n);
  const windows: Int32Array[] = [];
  const rho: Float32Array[] = [];
  for (const [t, frame] of frames.entries()) {
    const count = measureCrown(points, frame, radius, lateral, inside);
    windows.push(inside.slice(0, count));
    rho.push(radius.slice(0, count));
    takeNearest(windows[t]!, rho[t]!, t, nearest, least);
  }
  letGo(inside, radius);
  return { windows, rho, lateral, nearest, least };
}

/** Gives its memory back. @param prior - of no use afterwards, as is what was made of its windows */
export function letGoPrior({ windows, rho, lateral, nearest, least }: CrownPrior): void {
  letGo(...windows, ...rho, lateral, nearest, least);
}

function takeNearest(
  window: Int32Array,
  rho: Float32Array,
  tooth: number,
  nearest: Int16Array,
  least: Float32Array,
): void {
  for (let k = 0; k < window.length; k++) {
    const i = window[k]!;
    const r = rho[k]!;
    if (r >= least[i]!) continue;
    least[i] = r;
    nearest[i] = tooth;
  }
}

/**
 * @param radius - filled from its beginning with the radii at the places of the crown's window
 * @param inside - with these places
 * @returns how many they are
 */
function measureCrown(
  points: Float32Array,
  frame: CrownFrame,
  radius: Float32Array,
  lateral: Float32Array,
  inside: Int32Array,
): number {
  const { m, b, z, origin } = frame;
  const [mx, my, mz] = m;
  const [bx, by, bz] = b;
  const [zx, zy, zz] = z;
  const m0 = dot(m, origin);
  const b0 = dot(b, origin);
  const z0 = dot(z, origin);
  const reach = SEGMENT.windowRho;
  const reach3 = reach ** 3;
  let count = 0;
  for (let i = 0; i < lateral.length; i++) {
    const px = points[3 * i]!;
    const py = points[3 * i + 1]!;
    const pz = points[3 * i + 2]!;
    const x = mx * px + my * py + mz * pz - m0;
    const u = Math.abs(x) / (x < 0 ? frame.limitBackMm : frame.limitOnMm);
    if (u > reach) continue;
    const v = Math.abs(bx * px + by * py + bz * pz - b0) / frame.halfBuccolingualMm;
    if (v > reach) continue;
    const w = Math.max(0, (z0 - (zx * px + zy * py + zz * pz)) / frame.heightMm);
    const low = Math.min(1, w / SEGMENT.marginDepth);
    const towardsTooth = (x < 0 ? frame.freeBack : frame.freeOn) ? low * u : u;
    const towardsGum = low * v;
    const l = Math.sqrt(towardsTooth * towardsTooth + towardsGum * towardsGum);
    if (l < lateral[i]!) lateral[i] = l;
    const cube = u * u * u + v * v * v + w * w * w;
    if (cube >= reach3) continue;
    radius[count] = Math.cbrt(cube);
    inside[count++] = i;
  }
  return count;
}
