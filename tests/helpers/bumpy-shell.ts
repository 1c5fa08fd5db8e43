import { icosphere } from '../../fixtures/shapes.ts';
import type { TriangleMesh, Vec3 } from '../../src/geometry/types.ts';
import { vertexAt } from '../../src/geometry/vec3.ts';

/** A closed shell of crown size without any symmetry; `kind` makes another shape. */
export function bumpyShell(kind: number, edgeMm = 0.5): TriangleMesh {
  const sphere = icosphere({ radius: 1, edgeMm: edgeMm / 8 });
  const positions = new Float32Array(sphere.positions.length);
  for (let i = 0; i < positions.length / 3; i += 1) {
    const [x, y, z] = vertexAt(sphere.positions, i);
    const r =
      8 +
      1.6 * Math.sin(3 * x + kind) * Math.cos(2 * y - 0.7 * kind) +
      1.1 * Math.sin(4 * z + 2 * y + 1.3 * kind) +
      0.8 * x * y * (1 + kind);
    positions.set([1.4 * r * x, r * y, 0.8 * r * z] satisfies Vec3, 3 * i);
  }
  return { positions, triangles: sphere.triangles };
}
