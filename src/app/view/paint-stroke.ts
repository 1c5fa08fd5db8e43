import type { Vec3 } from '../../geometry/types.ts';
import { distance } from '../../geometry/vec3.ts';
import type { StrokePiece } from '../kernel/display-types.ts';
import { STROKE_SPACING_MM } from '../kernel/stroke-runs.ts';
import type { SurfaceHit } from './picker.ts';

/** The way is looked at more finely than points are laid, so that none comes late. */
const SAMPLES_PER_POINT = 5;

export interface StrokeSources {
  /** Exact place of the surface under the pointer, or null beside it. */
  hitAt(x: number, y: number): SurfaceHit | null;
  pxPerMm(): number;
  /** ISO number per triangle, 0 = gum; null before the teeth are known. */
  labels(): Uint8Array | null;
  paint(piece: StrokePiece): void;
}

/**
 * Turns the way of a pointer into points on the surface, {@link STROKE_SPACING_MM} apart: between two places of the
 * pointer the straight way over the screen is filled in, beside the surface nothing is painted.
 *
 * @returns the next place of the pointer, CSS px; `begins` starts a new stroke
 */
export function makePaintStroke(sources: StrokeSources): (x: number, y: number, begins: boolean) => void {
  let stroke = 0;
  let beganOn: number | null = null;
  let last: { readonly x: number; readonly y: number } | null = null;
  let lastPoint: Vec3 | null = null;
  return (x, y, begins) => {
    if (begins) {
      stroke += 1;
      last = null;
      lastPoint = null;
      const hit = sources.hitAt(x, y);
      beganOn = hit === null ? null : (sources.labels()?.[hit.triangle] ?? null);
    }
    const from = last ?? { x, y };
    const stepPx = Math.max(1, (STROKE_SPACING_MM / SAMPLES_PER_POINT) * sources.pxPerMm());
    const steps = Math.max(1, Math.ceil(Math.hypot(x - from.x, y - from.y) / stepPx));
    const points: Vec3[] = [];
    for (let k = 1; k <= steps; k++) {
      const f = k / steps;
      const hit = sources.hitAt(from.x + f * (x - from.x), from.y + f * (y - from.y));
      if (hit === null || (lastPoint !== null && distance(lastPoint, hit.point) < STROKE_SPACING_MM))
        continue;
      lastPoint = hit.point;
      points.push(hit.point);
    }
    last = { x, y };
    if (points.length > 0) sources.paint({ stroke, points, beganOn });
  };
}
