import type { ToothMotion } from '../../closure/types.ts';
import type { Vec3 } from '../../geometry/types.ts';
import type { OcclusalFrame } from '../../teeth/types.ts';

/** A crown's rigid motion in the scan frame: turn about `axis` through `centre`, then shift. */
export interface CrownMotion {
  readonly centre: Vec3;
  readonly axis: Vec3;
  readonly shift: Vec3;
  readonly angleRad: number;
}

/**
 * A planned motion carried from the occlusal frame into the scan frame.
 *
 * @param share - 0 to 1 of the motion, times any exaggeration
 */
export function crownMotion(
  motion: ToothMotion,
  centre: Vec3,
  frame: OcclusalFrame,
  share: number,
): CrownMotion {
  const { x, y, z } = frame;
  const dx = motion.dxMm * share;
  const dy = motion.dyMm * share;
  return {
    centre,
    axis: z,
    shift: [dx * x[0] + dy * y[0], dx * x[1] + dy * y[1], dx * x[2] + dy * y[2]],
    angleRad: motion.rotationRad * share,
  };
}

/** Where a point of the crown goes (Rodrigues' formula); the shader does the same for every vertex. */
export function movePoint(motion: CrownMotion, p: Vec3): Vec3 {
  const { centre: c, axis: k, shift, angleRad } = motion;
  const v: Vec3 = [p[0] - c[0], p[1] - c[1], p[2] - c[2]];
  const cos = Math.cos(angleRad);
  const sin = Math.sin(angleRad);
  const along = (k[0] * v[0] + k[1] * v[1] + k[2] * v[2]) * (1 - cos);
  return [
    c[0] + shift[0] + v[0] * cos + (k[1] * v[2] - k[2] * v[1]) * sin + k[0] * along,
    c[1] + shift[1] + v[1] * cos + (k[2] * v[0] - k[0] * v[2]) * sin + k[1] * along,
    c[2] + shift[2] + v[2] * cos + (k[0] * v[1] - k[1] * v[0]) * sin + k[2] * along,
  ];
}
