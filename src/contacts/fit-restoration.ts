import { inputError } from '../geometry/archgap-error.ts';
import { indexSurface } from '../geometry/surface-distance.ts';
import {
  signedVolume,
  triangleAreas,
  triangleCentroids,
  triangleNormals,
} from '../geometry/triangle-geometry.ts';
import type { TriangleMesh, Vec3 } from '../geometry/types.ts';
import { addScaled, dot, lerp, normalize, scale, sub, vertexAt } from '../geometry/vec3.ts';
import { archTangentAt, fitArchCurve } from '../teeth/arch-curve.ts';
import { archOrder, toothSortIndex } from '../teeth/notation.ts';
import type { Jaw, OcclusalFrame, ToothMap, ToothNumber } from '../teeth/types.ts';
import { prepareArchSurface } from './arch-surface.ts';
import { areaWithin } from './contact-area.ts';
import { type ContactFrame, contactFrame } from './contact-frame.ts';
import { measurePair, type PairMeasurement } from './measure-pair.ts';
import { UNCALIBRATED_SCANNER } from './settings.ts';
import { FACING_COSINE } from './tolerances.ts';
import type { Difference, ScannerProfile } from './types.ts';

/** Space that a restoration should leave to its neighbours, mm: `tightMm` <= `wideMm`, negative = it presses. */
export interface FitTarget {
  readonly wideMm: number;
  readonly tightMm: number;
}

/**
 * `too-tight`, `open`: outside of the target beyond the uncertainty; `as-wanted`: inside of it with the whole interval;
 * `undecided`: the interval reaches across an end of the target (guarded on both sides, ISO 14253-1); `no-neighbour`: nothing stands there;
 * `not-measurable`: the scan does not show the neighbour's wall well enough.
 */
export type FitStatus = 'too-tight' | 'as-wanted' | 'open' | 'undecided' | 'no-neighbour' | 'not-measurable';

/** One side of a restoration. Scan frame, mm. */
export interface FitSide {
  readonly side: 'mesial' | 'distal';
  readonly neighbour: ToothNumber | null;
  readonly status: FitStatus;
  /** Signed space to the neighbour, negative = overlap. */
  readonly space: Difference | null;
  /** To be added there to meet the middle of the target; negative = to be taken off. */
  readonly addMm: number | null;
  /** Middle of the contact. */
  readonly point: Vec3 | null;
  /** Of that place below the occlusal plane, and its offset from the neighbour's middle, cheek or lip positive. */
  readonly heightMm: number | null;
  readonly buccalMm: number | null;
  /** Of the restoration within 0.02 and 0.05 mm of the neighbour, overlap included, mm^2. */
  readonly within20umMm2: number | null;
  readonly within50umMm2: number | null;
  readonly notes: readonly string[];
}

/** What a restoration is held against. */
export interface FitScan {
  readonly mesh: TriangleMesh;
  /** ISO 3950 number per triangle. */
  readonly labels: ToothMap;
  readonly jaw: Jaw;
  readonly frame: OcclusalFrame;
  readonly centres: ReadonlyMap<ToothNumber, Vec3>;
  readonly scanner?: ScannerProfile;
}

/** Ways that a restoration is drawn back before measuring, mm: overlaps up to nearly as deep can be measured. */
const RETRACTIONS_MM = [0, 0.4, 1] as const;
/** A space below this is measured on a restoration drawn back: walls that cross show no free closest place, mm. */
const LEAST_FREE_MM = 0.05;
const AREA_LEVELS_MM = [0.02, 0.05] as const;
/** A contact farther from the restoration's middle than this belongs to something else, mm. */
const MOST_OFF_MM = 12;

/**
 * A designed restoration against its neighbours on a scan in the same frame. The space is the smallest distance of
 * patches fitted to both walls, as on scans, with one scanned wall in its budget. Walls that touch or cross are measured
 * on the restoration drawn back by s along the common normal of both walls, and s is taken off again: a shift along the
 * common normal leaves the closest places where they are, so that this is exact for smooth walls.
 *
 * @param restoration - scan frame, mm; closed or open at its margin, facing outwards
 * @throws ArchgapError `RESTORATION_ELSEWHERE`, `NO_NEIGHBOURS`, `RESTORATION_INSIDE_OUT`
 */
export function fitRestoration(
  restoration: TriangleMesh,
  tooth: ToothNumber,
  scan: FitScan,
  target: FitTarget,
): FitSide[] {
  if (signedVolume(restoration) <= 0) {
    throw inputError(
      'RESTORATION_INSIDE_OUT',
      'The restoration encloses no volume or faces inwards; expected a crown whose triangles face outwards, closed or open only at its margin. Export it again as a solid.',
    );
  }
  const centre = middleOf(restoration);
  const order = archOrder(scan.jaw);
  const at = toothSortIndex(tooth);
  const neighbours = [order[at - 1], order[at + 1]].map((near) =>
    near !== undefined && scan.centres.has(near) ? near : null,
  );
  if (neighbours.every((near) => near === null)) {
    throw inputError(
      'NO_NEIGHBOURS',
      `Neither neighbour of ${tooth} has a click on the scan; click the teeth beside the restoration.`,
    );
  }
  for (const near of neighbours) {
    if (near === null) continue;
    const way = sub(scan.centres.get(near)!, centre);
    if (Math.sqrt(dot(way, way)) <= MOST_OFF_MM) continue;
    throw inputError(
      'RESTORATION_ELSEWHERE',
      `The restoration lies ${Math.sqrt(dot(way, way)).toFixed(1)} mm from tooth ${near}, its neighbour; expected both files in one frame. Check the files, the unit and --tooth.`,
    );
  }
  const row = [...scan.centres]
    .filter(([number]) => number !== tooth)
    .concat([[tooth, centre]])
    .sort(([a], [b]) => toothSortIndex(a) - toothSortIndex(b))
    .map(([, p]) => p);
  const curve = fitArchCurve(scan.frame, row);
  return neighbours.map((neighbour, k) => {
    const side = sideOf(tooth, k === 0, scan.jaw);
    if (neighbour === null) return { ...NOTHING, side };
    const near = scan.centres.get(neighbour)!;
    const directions = contactFrame(scan.frame, scan.jaw, archTangentAt(curve, lerp(near, centre, 0.5)));
    const job = { restoration, tooth, neighbour, scan, directions, isFirst: k === 0 };
    return { ...measureSide(job, target), side, neighbour };
  });
}

const NOTHING: Omit<FitSide, 'side'> = {
  neighbour: null,
  status: 'no-neighbour',
  space: null,
  addMm: null,
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

interface SideJob {
  readonly restoration: TriangleMesh;
  readonly tooth: ToothNumber;
  readonly neighbour: ToothNumber;
  readonly scan: FitScan;
  readonly directions: ContactFrame;
  /** The neighbour stands nearer the patient's right: it is tooth A of the pair. */
  readonly isFirst: boolean;
}

function measureSide(job: SideJob, target: FitTarget): Omit<FitSide, 'side' | 'neighbour'> {
  const { scan, directions, neighbour } = job;
  const found = signedSpace(job);
  const normals = triangleNormals(scan.mesh);
  // The wall towards the restoration only: the rest of the neighbour has no contact with it.
  const towards = job.isFirst ? directions.t : scale(directions.t, -1);
  const wall = Array.from(scan.labels.keys()).filter(
    (f) => scan.labels[f] === neighbour && dot(vertexAt(normals, f), towards) > FACING_COSINE,
  );
  const areas =
    wall.length === 0
      ? null
      : areaWithin(
          indexSurface(job.restoration),
          indexSurface(scan.mesh, Uint32Array.from(wall)),
          'sheet',
          AREA_LEVELS_MM,
        );
  const shared = { within20umMm2: areas?.[0] ?? null, within50umMm2: areas?.[1] ?? null };
  if (found.space === null) {
    return { ...NOTHING, ...shared, status: 'not-measurable', notes: found.notes };
  }
  const { space, point, notes } = found;
  const off = sub(point, scan.centres.get(neighbour)!);
  return {
    ...shared,
    status: fitStatus(space, target),
    space,
    addMm: space.valueMm - (target.wideMm + target.tightMm) / 2,
    point,
    heightMm: dot(sub(scan.frame.origin, point), directions.o),
    buccalMm: dot(off, directions.b),
    notes,
  };
}

type SignedSpace =
  | { readonly space: null; readonly notes: readonly string[] }
  | { readonly space: Difference; readonly point: Vec3; readonly notes: readonly string[] };

/** The signed space, on the restoration drawn back as far as it takes. */
function signedSpace(job: SideJob): SignedSpace {
  const { t } = job.directions;
  // Away from the neighbour.
  const away = job.isFirst ? t : scale(t, -1);
  let last: PairMeasurement | null = null;
  for (const first of RETRACTIONS_MM) {
    let way: Vec3 = scale(away, first);
    let measured = measureAt(job, way);
    if (first > 0 && measured.gap !== null) {
      // Once more along the common normal of the two walls.
      const across = sub(measured.pointB!, measured.pointA!);
      const normal = normalize(job.isFirst ? across : scale(across, -1));
      way = scale(normal, first);
      measured = measureAt(job, way);
    }
    last = measured;
    const { gap, pointA, pointB } = measured;
    if (gap === null || pointA === null || pointB === null || gap.valueMm < LEAST_FREE_MM) continue;
    const own = addScaled(job.isFirst ? pointB : pointA, way, -1);
    const other = job.isFirst ? pointA : pointB;
    return {
      space: { valueMm: gap.valueMm - first, u95Mm: gap.u95Mm },
      point: lerp(own, other, 0.5),
      notes: measured.notes,
    };
  }
  return { space: null, notes: last?.notes ?? [] };
}

/** The pair as measured on scans, with the restoration in the place of its tooth, moved by `way`. */
function measureAt(job: SideJob, way: Vec3): PairMeasurement {
  const { scan, restoration, tooth, neighbour, directions } = job;
  const count = scan.mesh.positions.length;
  const positions = new Float32Array(count + restoration.positions.length);
  positions.set(scan.mesh.positions);
  for (let i = 0; i < restoration.positions.length; i += 1) {
    positions[count + i] = restoration.positions[i]! + way[i % 3]!;
  }
  const kept: number[] = [];
  const labels: number[] = [];
  for (let f = 0; f < scan.labels.length; f += 1) {
    // What stands in the place of the restoration (stump, scan body, healing gum) is covered by it.
    if (scan.labels[f] === tooth) continue;
    kept.push(...scan.mesh.triangles.subarray(3 * f, 3 * f + 3));
    labels.push(scan.labels[f]!);
  }
  const shift = count / 3;
  for (const v of restoration.triangles) kept.push(v + shift);
  for (let f = 0; f < restoration.triangles.length / 3; f += 1) labels.push(tooth);
  const arch = prepareArchSurface({ positions, triangles: Uint32Array.from(kept) }, Uint8Array.from(labels));
  const own = arch.teeth.get(tooth);
  const other = arch.teeth.get(neighbour);
  if (own === undefined || other === undefined) throw new RangeError('a tooth without triangles');
  const [a, b] = job.isFirst ? [other, own] : [own, other];
  return measurePair(arch, a, b, directions, oneWall(scan.scanner ?? UNCALIBRATED_SCANNER), NO_LIMIT_MM);
}

/** Only a coarse scan's number depends on a limit; a restoration has none. */
const NO_LIMIT_MM = 0;

/** Only one of the two walls comes from a scanner: half the variance of the waves, half of what fattens both. */
function oneWall(scanner: ScannerProfile): ScannerProfile {
  return {
    ...scanner,
    wavinessMm: scanner.wavinessMm / Math.SQRT2,
    systematicHalfWidthMm: scanner.systematicHalfWidthMm / 2,
  };
}

function fitStatus({ valueMm, u95Mm }: Difference, { wideMm, tightMm }: FitTarget): FitStatus {
  if (valueMm + u95Mm < tightMm) return 'too-tight';
  if (valueMm - u95Mm > wideMm) return 'open';
  return valueMm - u95Mm >= tightMm && valueMm + u95Mm <= wideMm ? 'as-wanted' : 'undecided';
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
