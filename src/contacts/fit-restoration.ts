import { inputError } from '../geometry/archgap-error.ts';
import { type JobControl, UNATTENDED } from '../geometry/job-control.ts';
import { closestOfMeshes } from '../geometry/mesh-distance.ts';
import { type IndexedSurface, indexSurface } from '../geometry/surface-distance.ts';
import { signedVolume, triangleAreas, triangleCentroids } from '../geometry/triangle-geometry.ts';
import type { TriangleMesh, Vec3 } from '../geometry/types.ts';
import { dot, lerp, scale, sub } from '../geometry/vec3.ts';
import { archTangentAt, fitArchCurve } from '../teeth/arch-curve.ts';
import { archOrder, toothSortIndex } from '../teeth/notation.ts';
import type { Jaw, ToothNumber } from '../teeth/types.ts';
import { areaWithin } from './contact-area.ts';
import { contactFrame } from './contact-frame.ts';
import {
  endsUnclicked,
  type FitNeighbour,
  fitNeighbours,
  isSite,
  type PlacedRestoration,
} from './fit-neighbours.ts';
import { type FitPair, prepareBench, signedSpace } from './fit-space.ts';
import type { FitNoteCode, FitScan, FitSide, FitTarget } from './fit-types.ts';
import { facingWall } from './fit-view.ts';
import { judgeFit } from './judge-fit.ts';

/** What one side says of itself, before it is known which side it is. */
type SideFindings = Omit<FitSide, 'side' | 'neighbour' | 'neighbourIsFirst' | 'closingDirection'>;

const AREA_LEVELS_MM = [0.02, 0.05] as const;
const STAGE = 'holding the restoration against its neighbours';

/**
 * A designed restoration against its neighbours on a scan in the same frame. The space is the smallest distance of
 * patches fitted to both walls, as on scans, with one scanned wall in its budget.
 *
 * @param restoration - scan frame, mm; closed or open at its margin, facing outwards
 * @returns two sides, towards the patient's right and towards the left
 * @throws ArchgapError `RESTORATION_ELSEWHERE`, `NO_NEIGHBOURS`, `RESTORATION_INSIDE_OUT`, `CANCELLED`
 */
export async function fitRestoration(
  restoration: TriangleMesh,
  tooth: ToothNumber,
  scan: FitScan,
  target: FitTarget,
  control: JobControl = UNATTENDED,
): Promise<FitSide[]> {
  await control.checkpoint(0, STAGE);
  if (signedVolume(restoration) <= 0) {
    throw inputError(
      'RESTORATION_INSIDE_OUT',
      'The restoration encloses no volume or faces inwards; expected a crown whose triangles face outwards, closed or open only at its margin. Export it again as a solid.',
    );
  }
  const centre = middleOf(restoration);
  const surface = indexSurface(restoration);
  const distanceTo = (number: ToothNumber) =>
    closestOfMeshes(restoration, scan.mesh, null, trianglesOf(scan, number)).distanceMm;
  const { jaw, centres, missing } = scan;
  const place = { tooth, centre, jaw, centres, missing, distanceTo };
  const found = fitNeighbours(place);
  const row = [...centres]
    .filter(([number]) => number !== tooth)
    .concat([[tooth, centre]])
    .sort(([a], [b]) => toothSortIndex(a) - toothSortIndex(b))
    .map(([, p]) => p);
  const curve = fitArchCurve(scan.frame, row);
  await control.checkpoint(0.2, STAGE);
  const bench = prepareBench(restoration, tooth, scan);
  const sides: FitSide[] = [];
  for (const neighbour of [found.right, found.left]) {
    const isFirst = sides.length === 0;
    await control.checkpoint(isFirst ? 0.3 : 0.65, STAGE);
    const side = sideOf(tooth, isFirst, jaw);
    if (neighbour === null || isSite(neighbour)) {
      sides.push({
        ...NOTHING,
        side,
        neighbour: null,
        neighbourIsFirst: isFirst,
        closingDirection: null,
        notes: whyNone(place, neighbour, isFirst),
      });
      continue;
    }
    const near = centres.get(neighbour.tooth)!;
    const directions = contactFrame(scan.frame, jaw, archTangentAt(curve, lerp(near, centre, 0.5)));
    const pair = { bench, neighbour: neighbour.tooth, directions, isFirst };
    const findings = sideFindings(pair, neighbour, scan, surface);
    const closingDirection = directions.t;
    sides.push({
      ...findings,
      side,
      neighbour: neighbour.tooth,
      neighbourIsFirst: isFirst,
      closingDirection,
    });
  }
  await control.checkpoint(1, STAGE);
  return sides.map((side) => judgeFit(side, target));
}

const SITE: FitNoteCode = 'site';
const BEYOND: FitNoteCode = 'beyond-missing';

const UNCLICKED: FitNoteCode = 'not-clicked';

/** Why a side has no neighbour: a tooth that nobody clicked may stand there, the site of an absent one, or the end. */
function whyNone(place: PlacedRestoration, beyond: FitNeighbour | null, isFirst: boolean): FitNoteCode[] {
  if (beyond === null) return endsUnclicked(place, isFirst) ? [UNCLICKED] : [];
  return beyond.unclicked.length > 0 ? [UNCLICKED] : [SITE];
}

const NOTHING: SideFindings = {
  status: 'no-neighbour',
  space: null,
  deeperThanMm: null,
  atMostMm: null,
  addMm: null,
  ends: null,
  point: null,
  heightMm: null,
  buccalMm: null,
  within20umMm2: null,
  within50umMm2: null,
  notes: [],
};

/** The side towards the patient's right end is distal on the right half of the arch, mesial on the left. */
function sideOf(tooth: ToothNumber, towardsRight: boolean, jaw: Jaw): 'mesial' | 'distal' {
  const isRight = toothSortIndex(tooth) < archOrder(jaw).length / 2;
  return towardsRight === isRight ? 'distal' : 'mesial';
}

function sideFindings(
  pair: FitPair,
  neighbour: FitNeighbour,
  scan: FitScan,
  surface: IndexedSurface,
): SideFindings {
  const found = signedSpace(pair);
  const beyond = [
    ...(neighbour.between.length > neighbour.unclicked.length ? [BEYOND] : []),
    ...(neighbour.unclicked.length > 0 ? [UNCLICKED] : []),
  ];
  if (found.space === null) {
    const { deeperThanMm, atMostMm } = found;
    return { ...NOTHING, deeperThanMm, atMostMm, notes: [...beyond, ...found.notes] };
  }
  const { space, ends, notes } = found;
  const point = lerp(ends.own, ends.neighbour, 0.5);
  const { directions } = pair;
  const [within20, within50] = areasOf(pair, scan, surface);
  return {
    status: 'undecided',
    space,
    deeperThanMm: null,
    atMostMm: null,
    addMm: null,
    ends,
    point,
    heightMm: dot(sub(scan.frame.origin, point), directions.o),
    buccalMm: dot(sub(point, scan.centres.get(neighbour.tooth)!), directions.b),
    within20umMm2: within20,
    within50umMm2: within50,
    notes: [...beyond, ...notes],
  };
}

/** Areas of the restoration near the wall that faces it. */
function areasOf(
  { neighbour, directions, isFirst }: FitPair,
  scan: FitScan,
  surface: IndexedSurface,
): [number, number] | [null, null] {
  const wall = facingWall(scan, neighbour, isFirst ? directions.t : scale(directions.t, -1));
  if (wall.length === 0) return [null, null];
  const [within20, within50] = areaWithin(surface, indexSurface(scan.mesh, wall), 'sheet', AREA_LEVELS_MM);
  return [within20!, within50!];
}

function trianglesOf({ labels }: FitScan, tooth: ToothNumber): Uint32Array {
  const own: number[] = [];
  for (let f = 0; f < labels.length; f += 1) if (labels[f] === tooth) own.push(f);
  return Uint32Array.from(own);
}

/** Area-weighted middle of a surface. */
function middleOf(mesh: TriangleMesh): Vec3 {
  const areas = triangleAreas(mesh);
  const centroids = triangleCentroids(mesh);
  let total = 0;
  const sum: [number, number, number] = [0, 0, 0];
  for (let f = 0; f < areas.length; f += 1) {
    total += areas[f]!;
    for (let k = 0; k < 3; k += 1) sum[k]! += areas[f]! * centroids[3 * f + k]!;
  }
  return [sum[0] / total, sum[1] / total, sum[2] / total];
}
