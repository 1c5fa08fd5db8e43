import type { Vec3 } from '../geometry/types.ts';
import { cross, dot, normalize, perpendicularTo, scale } from '../geometry/vec3.ts';
import type { Jaw, OcclusalFrame } from '../teeth/types.ts';

/** Unit directions at a contact: t along the arch A to B, o occlusal, b buccal; all perpendicular. */
export interface ContactFrame {
  readonly t: Vec3;
  readonly o: Vec3;
  readonly b: Vec3;
}

/**
 * @param tangent - arch direction A to B (patient's right to left); its occlusal part is removed
 * @returns directions; `b` points to cheek or lip: o x t in the upper jaw, where o points down, and t x o in the lower
 */
export function contactFrame(frame: OcclusalFrame, jaw: Jaw, tangent: Vec3): ContactFrame {
  const o = frame.z;
  const t = normalize(perpendicularTo(tangent, o));
  if (dot(t, t) === 0) throw new RangeError('the arch direction is parallel to the occlusal axis');
  return { t, o, b: scale(cross(o, t), jaw === 'upper' ? 1 : -1) };
}
