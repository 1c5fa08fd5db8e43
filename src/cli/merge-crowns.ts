import type { Vec3 } from '../geometry/types.ts';
import type { Scan } from '../scan/types.ts';
import type { ToothMap, ToothNumber } from '../teeth/types.ts';

/** Several crowns as one surface, with the number of each triangle's crown. */
export interface MergedCrowns {
  readonly scan: Scan;
  readonly labels: ToothMap;
}

/**
 * Puts separate crowns into one surface, in the frame of the analysis, so that sections and the labelled file are
 * made as for a scan. Colours are left out: some crowns may have none.
 * @param originMm - of the analysis; what to add to its points to get file coordinates
 */
export function mergeCrowns(
  crowns: readonly { readonly tooth: ToothNumber; readonly scan: Scan }[],
  originMm: Vec3,
): MergedCrowns {
  const first = crowns[0];
  if (!first) throw new RangeError('There are no crowns to merge.');
  const vertexCount = crowns.reduce((sum, { scan }) => sum + scan.positions.length, 0);
  const cornerCount = crowns.reduce((sum, { scan }) => sum + scan.triangles.length, 0);
  const positions = new Float32Array(vertexCount);
  const triangles = new Uint32Array(cornerCount);
  const labels = new Uint8Array(cornerCount / 3);
  let [vertexAt, cornerAt] = [0, 0];
  for (const { tooth, scan } of crowns) {
    for (let k = 0; k < scan.positions.length; k++) {
      positions[vertexAt + k] = scan.positions[k]! + scan.originMm[k % 3]! - originMm[k % 3]!;
    }
    const base = vertexAt / 3;
    for (let k = 0; k < scan.triangles.length; k++) triangles[cornerAt + k] = scan.triangles[k]! + base;
    labels.fill(tooth, cornerAt / 3, (cornerAt + scan.triangles.length) / 3);
    vertexAt += scan.positions.length;
    cornerAt += scan.triangles.length;
  }
  const { source, health } = first.scan;
  return { scan: { positions, triangles, colors: null, originMm, source, health }, labels };
}
