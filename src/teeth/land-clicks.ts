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

/** Nearest surface points; nodes of the coarse graph that lie too far from a point are skipped with all their faces. */
function nearestOnBase(base: TeethBase, points: readonly Vec3[]): (SurfacePoint | null)[] {
  const { facesOfNode } = base;
  if (!facesOfNode) return nearestOnMesh(base.scan, points, CLICK_REACH_MM);
  const found: (SurfacePoint | null)[] = [];
  const apart = new Float64Array(base.graph.nodeCount);
  for (const point of points) {
    const near = nodesWithin(base, point, apart);
    const among = Uint32Array.from(facesOfNodes(facesOfNode, near)).sort();
    found.push(nearestOnMesh(base.scan, [point], CLICK_REACH_MM, among)[0]!);
  }
  return found;
}

function facesOfNodes(
  { start, faces }: { readonly start: Uint32Array; readonly faces: Uint32Array },
  nodes: readonly number[],
): number[] {
  const found: number[] = [];
  for (const i of nodes) for (let k = start[i]!; k < start[i + 1]!; k++) found.push(faces[k]!);
  return found;
}

/**
 * Nodes that may hold the surface point nearest to a place: none of the others comes near enough.
 * @param apart - room for one number per node, overwritten
 */
function nodesWithin({ graph, nodeReachMm }: TeethBase, point: Vec3, apart: Float64Array): number[] {
  const { centroid, nodeCount } = graph;
  // Half a thousandth for the single precision of the centroid.
  let least = CLICK_REACH_MM;
  for (let i = 0; i < nodeCount; i++) {
    const x = centroid[3 * i]! - point[0];
    const y = centroid[3 * i + 1]! - point[1];
    const z = centroid[3 * i + 2]! - point[2];
    const d = Math.sqrt(x * x + y * y + z * z);
    apart[i] = d - nodeReachMm[i]! - 0.0005;
    least = Math.min(least, d + nodeReachMm[i]! + 0.0005);
  }
  const near: number[] = [];
  for (let i = 0; i < nodeCount; i++) if (apart[i]! <= least) near.push(i);
  return near;
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
