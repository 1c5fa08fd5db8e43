import { movePoint, type RigidMotion } from '../../src/geometry/rigid.ts';
import type { TriangleMesh, Vec3 } from '../../src/geometry/types.ts';
import { seededNormal, seededRandom } from './random.ts';

/**
 * Two facing walls with a known space, sampled like a scan: a jittered triangular grid of the wanted edge, noise along
 * the normal (white, plus a slow one with a stated correlation length). Wall A bulges along +x, wall B along -x, the
 * occlusal direction is z, buccal is y. The space is known in closed form.
 */
export interface WallShape {
  /** Depth of the wall behind its foremost point as a function of the place across, mm; 0 and flat at (0, 0). */
  readonly depth: (y: number, z: number) => number;
}

/** Sphere of radius r, around its foremost point. */
export const sphereWall = (r: number): WallShape => ({
  depth: (y, z) => r - Math.sqrt(Math.max(0, r * r - y * y - z * z)),
});

/** Ellipsoid with half-axes a (along x), b, c, around the end of its x axis. */
export const ellipsoidWall = (a: number, b: number, c: number): WallShape => ({
  depth: (y, z) => a * (1 - Math.sqrt(Math.max(0, 1 - (y / b) ** 2 - (z / c) ** 2))),
});

/** k1/2 y^2 + k2/2 z^2 + q (y^2 + z^2)^2 + t y^2 z: a wall the quartic can follow exactly. */
export const quarticWall = (k1: number, k2: number, q: number, t: number): WallShape => ({
  depth: (y, z) => (k1 * y * y + k2 * z * z) / 2 + q * (y * y + z * z) ** 2 + t * y * y * z,
});

export interface WallPairSpec {
  readonly a: WallShape;
  readonly b: WallShape;
  readonly gapMm: number;
  readonly edgeMm: number;
  readonly noiseMm: number;
  /** Standard deviation and correlation length of the slow part, mm. */
  readonly waveMm?: number;
  readonly waveLengthMm?: number;
  readonly seed: number;
  /** Half-size of the sampled part of each wall, mm. */
  readonly halfSizeMm?: number;
  readonly motion?: RigidMotion;
}

export interface WallPair {
  readonly mesh: TriangleMesh;
  /** Tooth 11 for wall A, 21 for wall B, per triangle. */
  readonly labels: Uint8Array;
}

/** A smooth random function with the given standard deviation and length: a sum of random plane waves. */
function slowWave(seed: number, sigma: number, length: number): (y: number, z: number) => number {
  const random = seededRandom(seed);
  const waves = Array.from({ length: 40 }, () => {
    // Gaussian spectrum: wave vectors normal with standard deviation 1/length.
    const r = Math.sqrt(-2 * Math.log(1 - random())) / length;
    const angle = 2 * Math.PI * random();
    return { ky: r * Math.cos(angle), kz: r * Math.sin(angle), phase: 2 * Math.PI * random() };
  });
  const scale = sigma * Math.sqrt(2 / waves.length);
  return (y, z) => scale * waves.reduce((sum, w) => sum + Math.cos(w.ky * y + w.kz * z + w.phase), 0);
}

export function makeWallPair(spec: WallPairSpec): WallPair {
  const half = spec.halfSizeMm ?? 2.2;
  const positions: number[] = [];
  const triangles: number[] = [];
  const labels: number[] = [];
  const normal = seededNormal(spec.seed);
  const random = seededRandom(spec.seed + 1000003);
  for (const side of [1, -1] as const) {
    const shape = side === 1 ? spec.a : spec.b;
    const wave =
      spec.waveMm === undefined
        ? () => 0
        : slowWave(spec.seed * 2 + (side === 1 ? 0 : 1), spec.waveMm, spec.waveLengthMm ?? 1);
    const first = positions.length / 3;
    const rowStep = (spec.edgeMm * Math.sqrt(3)) / 2;
    const rows = Math.floor((2 * half) / rowStep);
    const columns = Math.floor((2 * half) / spec.edgeMm);
    const shiftY = (random() - 0.5) * spec.edgeMm;
    const shiftZ = (random() - 0.5) * spec.edgeMm;
    for (let r = 0; r <= rows; r += 1) {
      for (let c = 0; c <= columns; c += 1) {
        const jitter = 0.25 * spec.edgeMm;
        const y = -half + (c + (r % 2) / 2) * spec.edgeMm + shiftY + (random() - 0.5) * jitter;
        const z = -half + r * rowStep + shiftZ + (random() - 0.5) * jitter;
        const d = shape.depth(y, z);
        const h = 1e-5;
        const sy = (shape.depth(y + h, z) - shape.depth(y - h, z)) / (2 * h);
        const sz = (shape.depth(y, z + h) - shape.depth(y, z - h)) / (2 * h);
        // Outward normal of wall A: (1, sy, sz) scaled; noise goes along it.
        const e = (spec.noiseMm * normal() + wave(y, z)) / Math.hypot(1, sy, sz);
        const x = side * (-spec.gapMm / 2 - d + e);
        const p: Vec3 = [x, y + e * sy, z + e * sz];
        positions.push(...(spec.motion ? movePoint(spec.motion, p) : p));
      }
    }
    const at = (r: number, c: number) => first + r * (columns + 1) + c;
    for (let r = 0; r < rows; r += 1) {
      for (let c = 0; c < columns; c += 1) {
        const quad =
          r % 2 === 0
            ? [at(r, c), at(r, c + 1), at(r + 1, c), at(r, c + 1), at(r + 1, c + 1), at(r + 1, c)]
            : [at(r, c), at(r, c + 1), at(r + 1, c + 1), at(r, c), at(r + 1, c + 1), at(r + 1, c)];
        for (let k = 0; k < 6; k += 3) {
          // y x z = +x: as they stand the triangles face +x, as wall A must; wall B is turned over.
          if (side === 1) triangles.push(quad[k]!, quad[k + 1]!, quad[k + 2]!);
          else triangles.push(quad[k]!, quad[k + 2]!, quad[k + 1]!);
          labels.push(side === 1 ? 11 : 21);
        }
      }
    }
  }
  return {
    mesh: { positions: Float32Array.from(positions), triangles: Uint32Array.from(triangles) },
    labels: Uint8Array.from(labels),
  };
}
