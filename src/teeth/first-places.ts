import type { Vec3 } from '../geometry/types.ts';
import { addScaled, dot, length, normalize, perpendicularTo, scale } from '../geometry/vec3.ts';
import type { PlacedTooth } from './occlusal-frame.ts';
import type { TeethBase } from './prepare-teeth.ts';
import { textbookSize } from './tooth-sizes-table.ts';

/** The surface this near to a click tells a click on top of a crown from one on its side, mm: less would see single cusps. */
const AROUND_CLICK_MM = 3;
/** Up to this angle to the occlusal axis a click counts as on top: cusps and edges slope that much, rad. */
const TOP_ANGLE_RAD = (35 * Math.PI) / 180;
/** The crown's top is looked for within this share of its size around its expected axis. */
const TOP_SEARCH_SHARE = 0.35;
/** A crown's frame begins this far below its top, and never farther than this above the click, mm. */
const BELOW_TOP_MM = 0.5;
const MOST_RISE_MM = 6;

/**
 * Where the crowns' frames begin. A click on top of a crown stays where it is; one on its cheek or tongue side is
 * moved inwards by the crown's half-depth along the surface normal, as on an ellipsoid, and up to the crown's top.
 */
export function firstPlaces(base: TeethBase, clicks: readonly PlacedTooth[], z: Vec3): PlacedTooth[] {
  return clicks.map((click) => {
    const normal = normalAround(base, click.point);
    const flat = perpendicularTo(normal, z);
    const angle = Math.atan2(length(flat), dot(normal, z));
    if (angle <= TOP_ANGLE_RAD) return click;
    const size = textbookSize(click.tooth);
    const inwards = scale(normalize(flat), -1);
    const depth = (size.buccolingualMm / 2) * Math.min(1, Math.sin(angle));
    const axis = addScaled(click.point, inwards, depth);
    const rise = topAbove(
      base,
      axis,
      z,
      TOP_SEARCH_SHARE * Math.min(size.mesiodistalMm, size.buccolingualMm),
    );
    return {
      tooth: click.tooth,
      point: addScaled(axis, z, Math.max(0, Math.min(MOST_RISE_MM, rise - BELOW_TOP_MM))),
    };
  });
}

/** Mean direction of the surface around a point. */
function normalAround(base: TeethBase, point: Vec3): Vec3 {
  const { centroid, nodeCount } = base.graph;
  const { nodeAreaVector } = base;
  const sum: [number, number, number] = [0, 0, 0];
  for (let i = 0; i < nodeCount; i++) {
    const x = centroid[3 * i]! - point[0];
    const y = centroid[3 * i + 1]! - point[1];
    const w = centroid[3 * i + 2]! - point[2];
    if (x * x + y * y + w * w > AROUND_CLICK_MM ** 2) continue;
    for (let k = 0; k < 3; k++) sum[k] = sum[k]! + nodeAreaVector[3 * i + k]!;
  }
  return normalize(sum);
}

/** Height of the surface above a point within a radius of its vertical. */
function topAbove(base: TeethBase, point: Vec3, z: Vec3, radiusMm: number): number {
  const { centroid, nodeCount } = base.graph;
  let top = 0;
  for (let i = 0; i < nodeCount; i++) {
    const dx = centroid[3 * i]! - point[0];
    const dy = centroid[3 * i + 1]! - point[1];
    const dz = centroid[3 * i + 2]! - point[2];
    const height = dx * z[0] + dy * z[1] + dz * z[2];
    if (height <= top || height > 2 * MOST_RISE_MM) continue;
    if (dx * dx + dy * dy + dz * dz - height * height < radiusMm * radiusMm) top = height;
  }
  return top;
}
