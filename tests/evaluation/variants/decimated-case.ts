import type { LabelledCase } from '../labelled-case.ts';
import { decimate } from './decimate.ts';
import { carriedLabels, firstClickSet, remadeCase } from './remade-case.ts';

/** The case with fewer triangles, as most published arches come. Unchanged when it has no more than that already. */
export async function decimatedCase(labelled: LabelledCase, triangles: number): Promise<LabelledCase> {
  if (labelled.scan.triangles.length / 3 <= triangles) return labelled;
  const mesh = await decimate(labelled.scan, triangles);
  const truth = carriedLabels(labelled.scan, labelled.truth, mesh);
  return remadeCase(labelled, mesh, truth, firstClickSet(labelled));
}
