import { MeshoptSimplifier } from 'meshoptimizer/simplifier';
import type { TriangleMesh } from '../../../src/geometry/types.ts';
import type { LabelledCase } from '../labelled-case.ts';
import { carriedLabels, firstClickSet, remadeCase } from './remade-case.ts';

/**
 * The case with fewer triangles, as most published arches come: edges collapsed by quadric error (Garland and Heckbert
 * 1997) with meshoptimizer. Unchanged when it has no more than that already.
 */
export async function decimatedCase(labelled: LabelledCase, triangles: number): Promise<LabelledCase> {
  if (labelled.scan.triangles.length / 3 <= triangles) return labelled;
  const mesh = await decimate(labelled.scan, triangles);
  const truth = carriedLabels(labelled.scan, labelled.truth, mesh);
  return remadeCase(labelled, mesh, truth, firstClickSet(labelled));
}

async function decimate(mesh: TriangleMesh, triangles: number): Promise<TriangleMesh> {
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
