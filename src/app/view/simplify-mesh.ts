import { MeshoptSimplifier } from 'meshoptimizer/simplifier';
import type { TriangleMesh } from '../../geometry/types.ts';
import type { SimplifiedMesh } from './coarse-labels.ts';

/**
 * Fewer triangles for the eye: edges are collapsed where that changes the shape least (quadric error metric, Garland
 * and Heckbert 1997, as in meshoptimizer). No vertex moves: those that remain are the scan's own.
 *
 * @param mesh - not modified
 * @param triangleCount - about how many are to remain
 */
export async function simplifyMesh(
  { positions, triangles }: TriangleMesh,
  triangleCount: number,
): Promise<SimplifiedMesh> {
  await MeshoptSimplifier.ready;
  // The share of the size that the surface may move: for the eye any, so that the count decides.
  const [kept] = MeshoptSimplifier.simplify(triangles, positions, 3, 3 * triangleCount, 1);
  const index = Uint32Array.from(kept);
  const [place, count] = MeshoptSimplifier.compactMesh(index);
  const source = new Uint32Array(count);
  for (let v = 0; v < place.length; v++) if (place[v] !== 0xffffffff) source[place[v]!] = v;
  return { triangles: index, source };
}
