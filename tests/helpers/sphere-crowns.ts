import { icosphere } from '../../fixtures/shapes.ts';
import { writeBinaryStl } from '../../fixtures/write-stl.ts';
import type { Vec3 } from '../../src/geometry/types.ts';

/**
 * Four spheres of radius 4 mm on a bow as upper incisors, with known spaces. A mesh of a sphere has its corners on
 * the sphere and its triangles inside, so a measured space is never smaller than the true one and larger by at most
 * twice the sagitta of the longest edge, 2 (r - sqrt(r^2 - e^2 / 3)).
 */
export const SPHERE_SPACES_MM = { '12-11': 0.3, '11-21': 0.5, '21-22': 0.02 } as const;

const RADIUS_MM = 4;
const BOW: Vec3 = [Math.cos(Math.PI / 6), -Math.sin(Math.PI / 6), 0];

/** Largest amount by which the triangles make a space look wider, mm. */
export function sphereSlackMm(edgeMm: number): number {
  // icosphere meets the wanted edge within a factor of 1.2.
  return 2 * (RADIUS_MM - Math.sqrt(RADIUS_MM ** 2 - (1.2 * edgeMm) ** 2 / 3));
}

/** Binary STL files by name: `12.stl`, `11.stl`, `21.stl`, `22.stl`. */
export function sphereCrownFiles(edgeMm: number): Record<string, Uint8Array> {
  const apart = (pair: keyof typeof SPHERE_SPACES_MM) => 2 * RADIUS_MM + SPHERE_SPACES_MM[pair];
  const half = apart('11-21') / 2;
  const centres: Readonly<Record<number, Vec3>> = {
    12: [-half - apart('12-11') * BOW[0], apart('12-11') * BOW[1], 0],
    11: [-half, 0, 0],
    21: [half, 0, 0],
    22: [half + apart('21-22') * BOW[0], apart('21-22') * BOW[1], 0],
  };
  const files: Record<string, Uint8Array> = {};
  for (const [tooth, centre] of Object.entries(centres)) {
    files[`${tooth}.stl`] = writeBinaryStl(icosphere({ radius: RADIUS_MM, edgeMm, centre }));
  }
  return files;
}
