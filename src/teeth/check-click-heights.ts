import type { Vec3 } from '../geometry/types.ts';
import { distance, dot } from '../geometry/vec3.ts';
import { occlusalAxis, type PlacedTooth, surfaceVotes } from './occlusal-frame.ts';
import type { TeethBase } from './prepare-teeth.ts';
import type { ToothWarning } from './types.ts';

/** The part of the base that is looked at. */
type Surface = Pick<TeethBase, 'nodeAreaVector'> & {
  readonly graph: Pick<TeethBase['graph'], 'centroid' | 'nodeCount'>;
};

/** The highest surface this near to a click, seen from above, stands for the crown under it, mm. */
const TOP_RADIUS_MM = 1.5;
/** Surface farther above or below the click belongs to something else, mm. */
const TOP_REACH_MM = 8;
/** A click is held against this many nearest clicks of other teeth; fewer than the least say too little. */
const NEIGHBOURS = 4;
const LEAST_NEIGHBOURS = 3;
/**
 * A crown's top lies no lower than this below its neighbours', mm. On three labelled scans tops under clicks anywhere
 * on a crown were at most 3.6 mm lower; gum and palate 10 mm and more from every click nearly always 5 to 14 mm.
 */
const MOST_BELOW_MM = 4.3;

/**
 * Clicks that lie far below the tops of the neighbouring crowns: on the gum or the palate. Labels grown from such a
 * click can look like a tooth, so it is said.
 *
 * Heights are along the axis of the other clicks: that of the labelled crowns leans with their side walls.
 *
 * @param teeth - first clicks on the surface
 */
export function checkClickHeights(base: Surface, teeth: readonly PlacedTooth[]): ToothWarning[] {
  if (teeth.length <= LEAST_NEIGHBOURS) return [];
  const votes = surfaceVotes(base.nodeAreaVector, base.graph.centroid, teeth);
  return teeth.flatMap((here, k): ToothWarning[] => {
    const others = teeth.toSpliced(k, 1);
    // A click far off would tilt the plane of the clicks towards itself: it has no say about its own height.
    const z = occlusalAxis(votes, others);
    const near = others
      .toSorted((a, b) => distance(a.point, here.point) - distance(b.point, here.point))
      .slice(0, NEIGHBOURS);
    const [own, ...tops] = topsNear(
      base,
      [here, ...near].map((tooth) => tooth.point),
      z,
    );
    tops.sort((a, b) => a - b);
    const below = tops[tops.length >> 1]! - own!;
    if (below <= MOST_BELOW_MM) return [];
    return [
      {
        code: 'CLICK_BELOW_CROWNS',
        tooth: here.tooth,
        teeth: [here.tooth],
        sentence: `The click of ${here.tooth} lies ${below.toFixed(0)} mm below the tops of the teeth beside it, so it seems to be on the gum or the palate. Drag it to the middle of the crown, or remove it.`,
      },
    ];
  });
}

/** Height along z of the highest surface near each point, never below the point itself. */
function topsNear(base: Surface, points: readonly Vec3[], z: Vec3): number[] {
  const { centroid, nodeCount } = base.graph;
  const tops = points.map((point) => dot(point, z));
  const reach2 = TOP_RADIUS_MM * TOP_RADIUS_MM;
  const farthest2 = reach2 + TOP_REACH_MM * TOP_REACH_MM;
  for (let i = 0; i < nodeCount; i++) {
    for (let k = 0; k < points.length; k++) {
      const p = points[k]!;
      const x = centroid[3 * i]! - p[0];
      const y = centroid[3 * i + 1]! - p[1];
      const w = centroid[3 * i + 2]! - p[2];
      const apart2 = x * x + y * y + w * w;
      if (apart2 > farthest2) continue;
      const up = x * z[0] + y * z[1] + w * z[2];
      if (Math.abs(up) > TOP_REACH_MM || apart2 - up * up > reach2) continue;
      tops[k] = Math.max(tops[k]!, dot(p, z) + up);
    }
  }
  return tops;
}
