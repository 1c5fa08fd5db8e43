import { inputError } from '../geometry/archgap-error.ts';
import type { TriangleMesh, Vec3 } from '../geometry/types.ts';
import { sub } from '../geometry/vec3.ts';
import type { Scan } from '../scan/types.ts';
import { toothSortIndex } from '../teeth/notation.ts';
import type { ToothMap, ToothNumber } from '../teeth/types.ts';

/** One tooth of a set of separate crowns. */
export interface Crown {
  readonly tooth: ToothNumber;
  readonly scan: Scan;
}

/** Separate crowns as one labelled mesh, in the frame of the first crown. */
export interface MergedCrowns {
  readonly mesh: TriangleMesh;
  readonly labels: ToothMap;
  readonly originMm: Vec3;
  /** Triangle numbers of each crown, in arch order. */
  readonly parts: ReadonlyMap<ToothNumber, Uint32Array>;
}

/**
 * Lays crowns that share one frame into one mesh, in arch order.
 * @throws ArchgapError `CROWN_TWICE`, `CROWN_UNITS_DIFFER`
 */
export function mergeCrowns(crowns: readonly Crown[]): MergedCrowns {
  const sorted = [...crowns].sort((a, b) => toothSortIndex(a.tooth) - toothSortIndex(b.tooth));
  const first = sorted[0];
  if (first === undefined)
    throw inputError('ONE_TOOTH', 'No crown was given; a contact needs two neighbours.');
  const originMm = first.scan.originMm;
  const vertexCount = sorted.reduce((sum, crown) => sum + crown.scan.positions.length, 0);
  const triangleCount = sorted.reduce((sum, crown) => sum + crown.scan.triangles.length, 0);
  const positions = new Float32Array(vertexCount);
  const triangles = new Uint32Array(triangleCount);
  const labels = new Uint8Array(triangleCount / 3);
  const parts = new Map<ToothNumber, Uint32Array>();
  let v = 0;
  let t = 0;
  for (const { tooth, scan } of sorted) {
    if (parts.has(tooth)) {
      const sentence = `Tooth ${tooth} was given twice; expected one file per tooth.`;
      throw inputError('CROWN_TWICE', sentence, { details: { tooth } });
    }
    const unit = scan.source.unit.unit;
    if (unit !== first.scan.source.unit.unit) {
      throw inputError(
        'CROWN_UNITS_DIFFER',
        `${scan.source.fileName} was read in ${unit}, ${first.scan.source.fileName} in ${first.scan.source.unit.unit}; the crowns must share one frame. State the unit.`,
      );
    }
    const shift = sub(scan.originMm, originMm);
    for (let i = 0; i < scan.positions.length; i += 1) positions[v + i] = scan.positions[i]! + shift[i % 3]!;
    for (let i = 0; i < scan.triangles.length; i += 1) triangles[t + i] = scan.triangles[i]! + v / 3;
    labels.fill(tooth, t / 3, (t + scan.triangles.length) / 3);
    parts.set(
      tooth,
      Uint32Array.from({ length: scan.triangles.length / 3 }, (_, i) => t / 3 + i),
    );
    v += scan.positions.length;
    t += scan.triangles.length;
  }
  return { mesh: { positions, triangles }, labels, originMm, parts };
}
