import { MeshoptSimplifier } from 'meshoptimizer/simplifier';
import type { TriangleMesh } from '../../../src/geometry/types.ts';

/**
 * About so many triangles: edges collapsed by quadric error (Garland and Heckbert 1997) with meshoptimizer. No vertex
 * moves; those that remain are the mesh's own.
 */
export async function decimate(mesh: TriangleMesh, triangles: number): Promise<TriangleMesh> {
  await MeshoptSimplifier.ready;
  const [kept] = MeshoptSimplifier.simplify(mesh.triangles, mesh.positions, 3, 3 * triangles, 1, [
    'Regularize',
  ]);
  const [names, count] = MeshoptSimplifier.compactMesh(kept);
  const positions = new Float32Array(3 * count);
  for (let v = 0; v < names.length; v += 1) {
    const w = names[v]!;
    if (w < count) positions.set(mesh.positions.subarray(3 * v, 3 * v + 3), 3 * w);
  }
  return { positions, triangles: kept };
}
