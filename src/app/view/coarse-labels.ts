import { letGo } from '../../geometry/let-go.ts';
import type { ToothMap } from '../../teeth/types.ts';

/** A simplified mesh of a scan; its vertices are vertices of the scan. */
export interface SimplifiedMesh {
  /** (m' x 3) vertices of the simplified mesh. */
  readonly triangles: Uint32Array;
  /** (n') the scan's vertex of each. */
  readonly source: Uint32Array;
}

/**
 * Carries labels of the scan's triangles to a simplified mesh: each of its triangles gets the label that at least two
 * of its corners bear on the scan. A corner on a border bears that of one of its triangles, so that drawn borders are
 * true to an edge of the scan. For drawing only.
 *
 * @param triangles - (m x 3) of the scan
 * @param labels - m labels
 */
export function coarseLabels(
  simplified: SimplifiedMesh,
  triangles: Uint32Array,
  vertexCount: number,
  labels: ToothMap,
): ToothMap {
  const ofVertex = new Uint8Array(vertexCount);
  for (let t = 0, corner = 0; t < labels.length; t++) {
    const label = labels[t]!;
    ofVertex[triangles[corner++]!] = label;
    ofVertex[triangles[corner++]!] = label;
    ofVertex[triangles[corner++]!] = label;
  }
  const { source, triangles: coarse } = simplified;
  const out = new Uint8Array(coarse.length / 3);
  for (let t = 0; t < out.length; t++) {
    const a = ofVertex[source[coarse[3 * t]!]!]!;
    const b = ofVertex[source[coarse[3 * t + 1]!]!]!;
    const c = ofVertex[source[coarse[3 * t + 2]!]!]!;
    out[t] = b === c ? b : a;
  }
  letGo(ofVertex);
  return out;
}
