import type { TriangleMesh } from '../../../src/geometry/types.ts';

/** A part of the triangles with the vertices they need. @returns the mesh and, per triangle of it, which it was */
export function keptFaces(
  mesh: TriangleMesh,
  keep: (t: number) => boolean,
): { readonly mesh: TriangleMesh; readonly from: Uint32Array } {
  const from = Uint32Array.from({ length: mesh.triangles.length / 3 }, (_, t) => t).filter(keep);
  const name = new Int32Array(mesh.positions.length / 3).fill(-1);
  const positions: number[] = [];
  const triangles = new Uint32Array(3 * from.length);
  from.forEach((t, k) => {
    for (let c = 0; c < 3; c += 1) {
      const v = mesh.triangles[3 * t + c]!;
      if (name[v] === -1) {
        name[v] = positions.length / 3;
        positions.push(mesh.positions[3 * v]!, mesh.positions[3 * v + 1]!, mesh.positions[3 * v + 2]!);
      }
      triangles[3 * k + c] = name[v]!;
    }
  });
  return { mesh: { positions: Float32Array.from(positions), triangles }, from };
}
