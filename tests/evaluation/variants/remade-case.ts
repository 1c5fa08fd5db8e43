import { writePly } from '../../../fixtures/write-ply.ts';
import { closestPoint, indexSurface } from '../../../src/geometry/surface-distance.ts';
import { triangleCentroids } from '../../../src/geometry/triangle-geometry.ts';
import type { TriangleMesh, Vec3 } from '../../../src/geometry/types.ts';
import { readScan } from '../../../src/scan/read-scan.ts';
import { snapClicks } from '../../../src/teeth/clicks.ts';
import type { ClickSet, ToothMap } from '../../../src/teeth/types.ts';
import type { LabelledCase } from '../labelled-case.ts';
import { labelsOfTriangles } from '../truth-labels.ts';

/** The same case with another surface, read from a file's bytes like any scan; its clicks are set down anew. */
export async function remadeCase(
  labelled: LabelledCase,
  mesh: TriangleMesh,
  truth: ToothMap,
  clicks: ClickSet,
): Promise<LabelledCase> {
  const scan = await readScan(writePly(mesh), { fileName: `${labelled.name}.ply` });
  return {
    name: labelled.name,
    scan,
    truth: labelsOfTriangles(scan, truth),
    clickSets: new Map([['clicks', snapClicks(scan, clicks)]]),
    spaces: null,
    sizes: null,
    webs: null,
    loadMs: 0,
  };
}

/** The first click set of a case: variants are made with that one. */
export function firstClickSet(labelled: LabelledCase): ClickSet {
  const first = labelled.clickSets.values().next().value;
  if (!first) throw new Error(`${labelled.name} has no clicks`);
  return first;
}

/** True labels on another mesh of the same surface: each triangle takes that of the place nearest to its centroid. */
export function carriedLabels(from: TriangleMesh, labels: ToothMap, to: TriangleMesh): ToothMap {
  const surface = indexSurface(from);
  const centroid = triangleCentroids(to);
  return Uint8Array.from({ length: to.triangles.length / 3 }, (_, t) => {
    const p: Vec3 = [centroid[3 * t]!, centroid[3 * t + 1]!, centroid[3 * t + 2]!];
    return labels[closestPoint(surface, p)!.triangle]!;
  });
}
