import { type Point2, StarOutline } from '../geometry/star-outline.ts';
import type { TriangleMesh, Vec3 } from '../geometry/types.ts';
import { dot, sub } from '../geometry/vec3.ts';
import type { OcclusalFrame, ToothMap, ToothNumber } from './types.ts';

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
  const flat = (point: Vec3): Point2 => {
    const offset = sub(point, frame.origin);
    return [dot(offset, frame.x), dot(offset, frame.y)];
  };
  const crowns = new Map([...centres].map(([tooth, centre]) => [tooth, new StarOutline(flat(centre))]));
  const corner = (v: number): Vec3 => [positions[3 * v]!, positions[3 * v + 1]!, positions[3 * v + 2]!];
  for (let f = 0; f < labels.length; f++) {
    const crown = labels[f] === 0 ? undefined : crowns.get(labels[f]!);
    if (crown === undefined) continue;
    const [a, b, c] = [0, 1, 2].map((k) => flat(corner(triangles[3 * f + k]!)));
    crown.add(a!, b!, c!);
  }
  const outlines = new Map<ToothNumber, readonly number[]>();
  for (const [tooth, crown] of crowns) {
    const polygon = crown.polygon();
    if (polygon !== null) outlines.set(tooth, polygon);
  }
  return outlines;
}
