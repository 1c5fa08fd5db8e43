import type { FaceFabric } from '../geometry/graph-surface.ts';
import { writeCentroid } from '../geometry/triangle-geometry.ts';
import { SEGMENT } from './segment-settings.ts';
import type { CrownFrame } from './types.ts';

/** A common border of two teeth: its faces and how far it reaches along the crown, mm. */
interface CommonBorder {
  readonly faces: number[];
  low: number;
  high: number;
}

/**
 * The faces along webs that a scanner laid between two teeth. A web stands over the contact like an arch, from the gum on
 * the cheek's side up and down again on the tongue's; labels that only met over a papilla run level. So a common border
 * that rises by {@link SEGMENT.webRiseMm} along the crown is taken for a web's.
 *
 * It only says where deep folds are cheap to a border; whether a contact is bridged is decided on the finished labels,
 * where spaces are measured.
 *
 * @param labels - per face, 0 = gum, t + 1 = tooth of frame t
 * @param frames - in the order of the labels
 * @returns faces on either side of such borders, each once
 */
export function facesAtWebs(
  { adjacency, mesh }: Pick<FaceFabric, 'adjacency' | 'mesh'>,
  labels: Uint8Array,
  frames: readonly CrownFrame[],
): number[] {
  const middle = new Float32Array(3);
  const borders = new Map<number, CommonBorder>();
  for (let f = 0; f < labels.length; f++) {
    const own = labels[f]!;
    if (own === 0) continue;
    for (let h = 3 * f; h < 3 * f + 3; h++) {
      const g = adjacency[h]!;
      const other = g < 0 ? 0 : labels[g]!;
      if (other === 0 || other === own) continue;
      const first = Math.min(own, other);
      const key = 256 * first + Math.max(own, other);
      const [x, y, z] = frames[first - 1]!.z;
      writeCentroid(mesh, f, middle);
      const height = x * middle[0]! + y * middle[1]! + z * middle[2]!;
      const border = borders.get(key) ?? { faces: [], low: height, high: height };
      borders.set(key, border);
      border.faces.push(f);
      border.low = Math.min(border.low, height);
      border.high = Math.max(border.high, height);
      break;
    }
  }
  const atWebs = [...borders.values()].filter(({ low, high }) => high - low >= SEGMENT.webRiseMm);
  // A face that meets two teeth counts for the first it meets, so none is listed twice.
  return atWebs.flatMap(({ faces }) => faces);
}
