import type { SeenCrown } from '../../src/contacts/crown-axes.ts';
import { type RigidMotion, rotateDirection } from '../../src/geometry/rigid.ts';
import { vertexNormals } from '../../src/geometry/triangle-geometry.ts';
import type { TriangleMesh, Vec3 } from '../../src/geometry/types.ts';

const AROUND = 120;
const UP = 24;
const HEIGHT_MM = 7;

/**
 * Side walls of a prism on the curve |x/a|^power + |y/b|^power = 1, which tapers upwards and narrows towards +y like a
 * crown towards the tongue: alike on both sides of x = 0 and of no other plane.
 */
export function seenPrism(a: number, b: number, power: number, motions: readonly RigidMotion[]): SeenCrown {
  const positions: number[] = [];
  const triangles: number[] = [];
  for (let j = 0; j <= UP; j += 1) {
    for (let i = 0; i < AROUND; i += 1) {
      const angle = (2 * Math.PI * i) / AROUND;
      const [c, s] = [Math.cos(angle), Math.sin(angle)];
      const taper = 1 - 0.1 * (j / UP) ** 2;
      const y = b * taper * Math.sign(s) * Math.abs(s) ** (2 / power);
      const x = a * taper * (1 - (0.12 * y) / b) * Math.sign(c) * Math.abs(c) ** (2 / power);
      let p: Vec3 = [x, y, (HEIGHT_MM * j) / UP];
      for (const motion of motions) p = rotateDirection(motion, p);
      positions.push(...p);
      if (j === UP) continue;
      const at = (di: number, dj: number) => (j + dj) * AROUND + ((i + di) % AROUND);
      triangles.push(at(0, 0), at(1, 0), at(1, 1), at(0, 0), at(1, 1), at(0, 1));
    }
  }
  const mesh: TriangleMesh = {
    positions: Float32Array.from(positions),
    triangles: Uint32Array.from(triangles),
  };
  return { points: Float64Array.from(positions), normals: Float64Array.from(vertexNormals(mesh)) };
}
