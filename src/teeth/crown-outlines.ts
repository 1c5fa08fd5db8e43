import type { TriangleMesh, Vec3 } from '../geometry/types.ts';
import { dot, sub } from '../geometry/vec3.ts';
import type { OcclusalFrame, ToothMap, ToothNumber } from './types.ts';

/** Rays from the middle of a crown, one every three degrees. */
const RAYS = 120;
const STEP_RAD = (2 * Math.PI) / RAYS;
/** An edge seen end-on along a ray: its far end counts. */
const END_ON = 1e-12;

/**
 * The outline of every labelled crown seen from the crowns' tops: how far its triangles, projected into the occlusal
 * plane, reach along rays from its centre. Exact on each ray for a crown that is star-shaped from its centre, which
 * teeth seen from above are; a hollow that no straight line from the centre reaches is drawn filled.
 *
 * @param labels - ISO 3950 number per triangle
 * @param centres - of the teeth wanted, scan frame, mm
 * @returns per tooth a closed polygon, flat [x0, y0, x1, y1, ...] in the occlusal frame (x to the patient's left, y to
 *   the front), mm to the micrometre; a crown that does not surround its centre has none
 */
export function crownOutlines(
  { positions, triangles }: TriangleMesh,
  labels: ToothMap,
  frame: OcclusalFrame,
  centres: ReadonlyMap<ToothNumber, Vec3>,
): Map<ToothNumber, readonly number[]> {
  const flat = (point: Vec3): Point => {
    const offset = sub(point, frame.origin);
    return [dot(offset, frame.x), dot(offset, frame.y)];
  };
  const crowns = new Map(
    [...centres].map(([tooth, centre]) => [tooth, { at: flat(centre), reach: new Float64Array(RAYS) }]),
  );
  const corner = (v: number): Vec3 => [positions[3 * v]!, positions[3 * v + 1]!, positions[3 * v + 2]!];
  for (let f = 0; f < labels.length; f++) {
    const crown = labels[f] === 0 ? undefined : crowns.get(labels[f]!);
    if (crown === undefined) continue;
    const [a, b, c] = [0, 1, 2].map((k) => {
      const [x, y] = flat(corner(triangles[3 * f + k]!));
      return [x - crown.at[0], y - crown.at[1]] as const;
    }) as [Point, Point, Point];
    for (const [p, q] of [
      [a, b],
      [b, c],
      [c, a],
    ] as const) {
      extend(crown.reach, p, q);
    }
  }
  const outlines = new Map<ToothNumber, readonly number[]>();
  for (const [tooth, { at, reach }] of crowns) {
    if (reach.some((mm) => mm === 0)) continue;
    outlines.set(
      tooth,
      Array.from(reach).flatMap((mm, k) => [
        micrometres(at[0] + mm * Math.cos(k * STEP_RAD)),
        micrometres(at[1] + mm * Math.sin(k * STEP_RAD)),
      ]),
    );
  }
  return outlines;
}

/** A drawing needs no more digits, and a file with it stays small. */
function micrometres(mm: number): number {
  return Math.round(mm * 1000) / 1000;
}

type Point = readonly [number, number];

/** Takes an edge, relative to the centre, into the reach of every ray that it crosses. */
function extend(reach: Float64Array, p: Point, q: Point): void {
  const from = Math.atan2(p[1], p[0]);
  const turn = Math.atan2(p[0] * q[1] - p[1] * q[0], p[0] * q[0] + p[1] * q[1]);
  const low = Math.min(from, from + turn);
  const high = Math.max(from, from + turn);
  for (let k = Math.ceil(low / STEP_RAD); k <= Math.floor(high / STEP_RAD); k++) {
    const [dx, dy] = [Math.cos(k * STEP_RAD), Math.sin(k * STEP_RAD)];
    const [ex, ey] = [q[0] - p[0], q[1] - p[1]];
    const across = dx * ey - dy * ex;
    const mm =
      Math.abs(across) < END_ON
        ? Math.max(Math.hypot(...p), Math.hypot(...q))
        : (p[0] * ey - p[1] * ex) / across;
    const ray = ((k % RAYS) + RAYS) % RAYS;
    if (mm > reach[ray]!) reach[ray] = mm;
  }
}
