import { inputError } from '../geometry/archgap-error.ts';
import { nearestOnMesh, type SurfacePoint } from '../geometry/nearest-on-mesh.ts';
import type { Vec3 } from '../geometry/types.ts';
import { distance } from '../geometry/vec3.ts';
import { CLICK_REACH_MM, checkClickSet, clickOffSurface } from './clicks.ts';
import { inArchOrder } from './crown-frames.ts';
import type { LandedClick } from './hard-seeds.ts';
import { firstClicks, noClicks, type PlacedTooth } from './occlusal-frame.ts';
import type { TeethBase } from './prepare-teeth.ts';
import { textbookSize } from './tooth-sizes-table.ts';
import type { ClickSet, ToothNumber } from './types.ts';

/** The clicks of a set on the scan. */
export interface LandedSet {
  /** First clicks, in arch order. */
  readonly teeth: readonly PlacedTooth[];
  /** All clicks, in the order of the set. */
  readonly clicks: readonly LandedClick[];
  readonly missing: readonly ToothNumber[];
}

/** Clicks of two teeth nearer than this share of their mean width are on one crown. */
const ONE_PLACE = 0.35;
/** Two clicks of one tooth farther apart than this many times its largest size are on two crowns. */
const TWO_CROWNS = 1.5;

/**
 * Finds the place of every click on the surface and refuses sets that can't be right.
 *
 * @throws ArchgapError `NO_CLICKS`, `TOOTH_WRONG_JAW`, `MISSING_TOOTH_CLICKED`, `CLICK_OFF_SURFACE`,
 *   `TWO_TEETH_ONE_PLACE`, `TOOTH_CLICKED_TWICE`
 */
export function landClicks(base: TeethBase, set: ClickSet): LandedSet {
  checkClickSet(set);
  const order = inArchOrder(firstClicks(set)).map((tooth) => tooth.tooth);
  if (order.length === 0) throw noClicks();
  const places = nearestOnBase(
    base,
    set.clicks.map((click) => click.point),
  );
  const first = new Map<ToothNumber, PlacedTooth>();
  const clicks = set.clicks.map((click, k): LandedClick => {
    const place = places[k];
    if (!place) throw clickOffSurface(click);
    const { point, triangle: face } = place;
    if (click.tooth === 'gum') return { label: 0, point, face, correction: true };
    const earlier = first.get(click.tooth);
    if (earlier) checkSameCrown(earlier, { tooth: click.tooth, point });
    else first.set(click.tooth, { tooth: click.tooth, point });
    return { label: order.indexOf(click.tooth) + 1, point, face, correction: earlier !== undefined };
  });
  const teeth = inArchOrder([...first.values()]);
  checkApart(teeth);
  return { teeth, clicks, missing: set.missing };
}

/** Nearest surface points; nodes of the coarse graph too far from every point are skipped with all their faces. */
function nearestOnBase(base: TeethBase, points: readonly Vec3[]): (SurfacePoint | null)[] {
  const { nodeOfFace, nodeReachMm } = base;
  if (!nodeOfFace) return nearestOnMesh(base.scan, points, CLICK_REACH_MM);
  const { centroid, nodeCount } = base.graph;
  const near = new Uint8Array(nodeCount);
  for (let i = 0; i < nodeCount; i++) {
    // Half a thousandth for the single precision of the centroid.
    const reach = CLICK_REACH_MM + nodeReachMm[i]! + 0.0005;
    for (const p of points) {
      const x = centroid[3 * i]! - p[0];
      const y = centroid[3 * i + 1]! - p[1];
      const z = centroid[3 * i + 2]! - p[2];
      if (x * x + y * y + z * z > reach * reach) continue;
      near[i] = 1;
      break;
    }
  }
  return nearestOnMesh(base.scan, points, CLICK_REACH_MM, (face) => near[nodeOfFace[face]!] === 1);
}

function checkSameCrown(earlier: PlacedTooth, later: PlacedTooth): void {
  const size = textbookSize(later.tooth);
  const largest = Math.max(size.crownMm, size.mesiodistalMm, size.buccolingualMm);
  const apart = distance(earlier.point, later.point);
  if (apart <= TWO_CROWNS * largest) return;
  throw inputError(
    'TOOTH_CLICKED_TWICE',
    `Tooth ${later.tooth} has two clicks ${apart.toFixed(1)} mm apart, too far for one crown; change the number of one of them or remove it.`,
    { details: { tooth: later.tooth, apartMm: apart } },
  );
}

function checkApart(teeth: readonly PlacedTooth[]): void {
  for (let k = 0; k < teeth.length; k++) {
    for (let l = k + 1; l < teeth.length; l++) {
      const a = teeth[k]!;
      const b = teeth[l]!;
      const apart = distance(a.point, b.point);
      const width = (textbookSize(a.tooth).mesiodistalMm + textbookSize(b.tooth).mesiodistalMm) / 2;
      if (apart >= ONE_PLACE * width) continue;
      throw inputError(
        'TWO_TEETH_ONE_PLACE',
        `The clicks of teeth ${a.tooth} and ${b.tooth} are only ${apart.toFixed(1)} mm apart, so both lie on one crown; remove one of them.`,
        { details: { toothA: a.tooth, toothB: b.tooth, apartMm: apart } },
      );
    }
  }
}
