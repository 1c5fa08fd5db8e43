import { nearestOnMesh } from '../geometry/nearest-on-mesh.ts';
import { type OrientedPoints, sampleOrientedPoints } from '../geometry/oriented-points.ts';
import { movePoint } from '../geometry/rigid.ts';
import { submesh, trianglesByLabel } from '../geometry/submesh.ts';
import type { TriangleMesh, Vec3 } from '../geometry/types.ts';
import { dot, perpendicularTo, sub, vertexAt } from '../geometry/vec3.ts';
import type { ArchAlignment, LabelledTeeth } from './align-arch.ts';
import { CLICK_REACH_MM } from './clicks.ts';
import type { Click, ClickSet, Jaw, OcclusalFrame, ToothNumber } from './types.ts';

/** What an earlier case says about its teeth. */
export interface EarlierTeeth extends LabelledTeeth {
  readonly jaw: Jaw;
  readonly frame: OcclusalFrame;
  readonly missing: readonly ToothNumber[];
  readonly fixed: readonly ToothNumber[];
}

/** Places that look up by less than this cosine are walls; a click stands on the top of a crown. */
const UPWARD = 0.4;
const SPACING_MM = 0.5;

/**
 * Clicks for a new scan from the teeth of an earlier one: one in the middle of the top of every crown that the new
 * scan shows, carried by that tooth's own motion. Teeth that are not seen get none.
 *
 * @returns clicks in the new scan's frame
 */
export function carryClicks(earlier: EarlierTeeth, alignment: ArchAlignment, later: TriangleMesh): ClickSet {
  const seen = alignment.teeth.filter(({ sighting }) => sighting !== 'not-seen');
  const groups = trianglesByLabel(earlier.labels);
  const places = seen.map(({ tooth, motion }) => {
    const own = submesh(earlier.mesh, groups.get(tooth) ?? new Uint32Array(0));
    const crown = sampleOrientedPoints(own, SPACING_MM);
    const centre = earlier.teeth.find((record) => record.tooth === tooth)?.centre ?? earlier.frame.origin;
    return movePoint(motion, topOf(crown, centre, earlier.frame.z));
  });
  const landed = nearestOnMesh(later, places, CLICK_REACH_MM);
  const clicks = seen.flatMap(({ tooth }, k): Click[] => {
    const place = landed[k];
    return place ? [{ tooth, point: place.point }] : [];
  });
  const clicked = new Set(clicks.map(({ tooth }) => tooth));
  return {
    jaw: earlier.jaw,
    clicks,
    missing: earlier.missing,
    fixed: earlier.fixed.filter((tooth) => clicked.has(tooth)),
  };
}

/** The place on the top of a crown that lies nearest above its centre; the highest place where nothing looks up. */
function topOf({ points, normals }: OrientedPoints, centre: Vec3, z: Vec3): Vec3 {
  let best: Vec3 = centre;
  let least = Number.POSITIVE_INFINITY;
  let highest: Vec3 = centre;
  let height = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < points.length / 3; i += 1) {
    const p = vertexAt(points, i);
    const h = dot(p, z);
    if (h > height) {
      height = h;
      highest = p;
    }
    if (dot(vertexAt(normals, i), z) < UPWARD || h < dot(centre, z)) continue;
    const aside = perpendicularTo(sub(p, centre), z);
    const d2 = dot(aside, aside);
    if (d2 >= least) continue;
    least = d2;
    best = p;
  }
  return Number.isFinite(least) ? best : highest;
}
