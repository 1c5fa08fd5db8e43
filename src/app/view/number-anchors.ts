import type { Vec3 } from '../../geometry/types.ts';
import type { Jaw, OcclusalFrame, ToothMap, ToothNumber, ToothRecord } from '../../teeth/types.ts';
import { headwardsOf } from './camera-pose.ts';

/** Where a tooth's number belongs, and what must be in sight for it to be written. */
export interface NumberAnchor {
  readonly at: Vec3;
  /** Points spread over the crown. */
  readonly samples: readonly Vec3[];
}

/** Points looked at to tell how much of a crown is in sight. */
const SAMPLES_PER_CROWN = 24;
/** Triangles looked at, evenly spread over the scan: of more, the eye would not see the numbers move. */
const MOST_LOOKED_AT = 40_000;
/** Numbers stand this far outside the crown's widest place on the cheek's or lip's side. */
const CLEAR_MM = 1.6;

/**
 * Where each tooth's number belongs: at mid-crown height, just outside the crown on its outer side, so that from
 * above the numbers form a ring around the arch and no crown is covered.
 *
 * @param teeth - in arch order, from the patient's right to left
 * @param labels - per triangle
 */
export function numberAnchors(
  teeth: readonly ToothRecord[],
  frame: OcclusalFrame,
  jaw: Jaw,
  mesh: { readonly positions: Float32Array; readonly triangles: Uint32Array },
  labels: ToothMap,
): Map<ToothNumber, NumberAnchor> {
  const outward = teeth.map((_, i) => outwardOf(teeth, i, frame, jaw));
  const place = new Int8Array(256).fill(-1);
  teeth.forEach((t, i) => {
    place[t.tooth] = i;
  });
  const reach = teeth.map(() => 0);
  const counts = teeth.map(() => 0);
  const step = Math.max(1, Math.round(labels.length / MOST_LOOKED_AT));
  for (let t = 0; t < labels.length; t += step) {
    const i = place[labels[t]!]!;
    if (i >= 0) counts[i]!++;
  }
  const samples: Vec3[][] = teeth.map(() => []);
  const seen = teeth.map(() => 0);
  for (let t = 0; t < labels.length; t += step) {
    const i = place[labels[t]!]!;
    if (i < 0) continue;
    const v = 3 * mesh.triangles[3 * t]!;
    // Triangle order follows the scanner's path or a grid, so that even steps spread over the crown.
    if (seen[i]!++ % Math.ceil(counts[i]! / SAMPLES_PER_CROWN) === 0) {
      samples[i]!.push([mesh.positions[v]!, mesh.positions[v + 1]!, mesh.positions[v + 2]!]);
    }
    const c = teeth[i]!.centre;
    const o = outward[i]!;
    const along =
      (mesh.positions[v]! - c[0]) * o[0] +
      (mesh.positions[v + 1]! - c[1]) * o[1] +
      (mesh.positions[v + 2]! - c[2]) * o[2];
    if (along > reach[i]!) reach[i] = along;
  }
  return new Map(
    teeth.map((t, i) => {
      const o = outward[i]!;
      const r = reach[i]! + CLEAR_MM;
      const at: Vec3 = [t.centre[0] + r * o[0], t.centre[1] + r * o[1], t.centre[2] + r * o[2]];
      return [t.tooth, { at, samples: samples[i]! }] as const;
    }),
  );
}

/** Unit, in the occlusal plane, square to the line through the neighbours' centres, away from the arch's inside. */
function outwardOf(teeth: readonly ToothRecord[], i: number, frame: OcclusalFrame, jaw: Jaw): Vec3 {
  const from = teeth[Math.max(0, i - 1)]!.centre;
  const to = teeth[Math.min(teeth.length - 1, i + 1)]!.centre;
  const t: Vec3 = [to[0] - from[0], to[1] - from[1], to[2] - from[2]];
  const h = headwardsOf(frame, jaw);
  const o: Vec3 = [t[1] * h[2] - t[2] * h[1], t[2] * h[0] - t[0] * h[2], t[0] * h[1] - t[1] * h[0]];
  const length = Math.hypot(...o);
  return length > 0 ? [o[0] / length, o[1] / length, o[2] / length] : frame.y;
}
