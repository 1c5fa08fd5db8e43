import { inputError } from '../geometry/archgap-error.ts';
import { type JobControl, UNATTENDED } from '../geometry/job-control.ts';
import { type OrientedPoints, sampleOrientedPoints } from '../geometry/oriented-points.ts';
import { registerToSurface, type SurfaceFit, surfacePartners } from '../geometry/register-surface.ts';
import { composeMotions, invertMotion, movePoint, type RigidMotion } from '../geometry/rigid.ts';
import { roughPoses } from '../geometry/rough-registration.ts';
import { submesh, trianglesByLabel } from '../geometry/submesh.ts';
import { type IndexedSurface, indexSurface } from '../geometry/surface-index.ts';
import type { TriangleMesh, Vec3 } from '../geometry/types.ts';
import { distance } from '../geometry/vec3.ts';
import { toothSortIndex } from './notation.ts';
import type { ToothMap, ToothNumber, ToothRecord } from './types.ts';

/** An earlier scan whose teeth are known. */
export interface LabelledTeeth {
  readonly mesh: TriangleMesh;
  /** ISO 3950 number per triangle, 0 = gum. */
  readonly labels: ToothMap;
  readonly teeth: readonly Pick<ToothRecord, 'tooth' | 'centre'>[];
}

/**
 * `recognised`: the crown of the earlier scan fits the new one; `changed`: the new scan has a surface there, but of
 * another shape (filling, crown, attachment, or another tooth); `not-seen`: the new scan has nothing there.
 */
type ToothSighting = 'recognised' | 'changed' | 'not-seen';

/** One tooth of the earlier scan found again. */
export interface ToothAlignment {
  readonly tooth: ToothNumber;
  readonly sighting: ToothSighting;
  /** Earlier scan frame to new scan frame; that of the whole arch unless the tooth was recognised. */
  readonly motion: RigidMotion;
  /** Share of the crown within {@link NEAR_MM} of the new surface after its own motion, 0 to 1. */
  readonly nearShare: number;
  /** Median distance of the crown from the new surface, mm; null where none was found. */
  readonly medianOffsetMm: number | null;
  /** How far the tooth's centre moved against the arch as a whole, mm; null unless recognised. */
  readonly shiftMm: number | null;
}

/** How an earlier scan lies on a new one. */
export interface ArchAlignment {
  /** Earlier scan frame to new scan frame, by all teeth together; what moved on its own pulls little. */
  readonly motion: RigidMotion;
  /** In arch order. */
  readonly teeth: readonly ToothAlignment[];
  /** Median over the recognised teeth of `medianOffsetMm`. */
  readonly medianOffsetMm: number;
}

/** A place within this of the new surface lies on it: some times the noise of intraoral scans, mm. */
const NEAR_MM = 0.1;
/**
 * A crown is recognised by both. Measured: 42 crowns of the same teeth in three pairs of scans lay within 0.01 mm in
 * the median with 0.94 or more of their points near; 112 crowns of other teeth not below 0.07 mm nor above 0.60. No
 * bound: synthetic crowns of one make, 1 to 2 % apart in size, lay within 0.01 to 0.04 mm and pass (docs/validation.md).
 */
const RECOGNISED_OFFSET_MM = 0.05;
const RECOGNISED_SHARE = 0.5;
/** A crown with this share of its points over a surface of the new scan has come into view. */
const IN_VIEW_SHARE = 0.4;
/** So few teeth could fit by chance. */
const LEAST_RECOGNISED = 3;
/** Of the teeth in view, this share must be recognised. */
const LEAST_RECOGNISED_SHARE = 0.6;
/** No tooth moves farther against its arch between two scans of one treatment without a new case being made, mm. */
const MOST_SHIFT_MM = 4;

/** Spacing of the samples: for the pose, and for one crown, mm. */
const ROUGH_SPACING_MM = 1.2;
const FINE_SPACING_MM = 0.5;
const ROUGH = {
  reachMm: 4,
  toleranceMm: 1.5,
  leastBaseMm: 8,
  mostDraws: 100_000,
  poses: 4,
  seed: 1,
} as const;
const WHOLE = { reachesMm: [3, 2, 2, 1.5, 1, 1, 0.6], nearMm: 0.3, mostRounds: 25 } as const;
const SINGLE = { reachesMm: [2, 1.5, 1.5, 1, 1, 0.6, 0.6, 0.4], nearMm: NEAR_MM, mostRounds: 30 } as const;
/** A crown of fewer points settles no pose. */
const LEAST_POINTS = 60;

/**
 * Lays an earlier scan over a new one of the same mouth, whatever the pose of either: rough poses from points of like
 * shape, then all teeth together, then each tooth on its own, as teeth have moved since.
 *
 * @param later - the new scan
 * @throws ArchgapError `SCANS_DO_NOT_MATCH`, `CANCELLED`
 */
export async function alignArch(
  earlier: LabelledTeeth,
  later: TriangleMesh,
  control: JobControl = UNATTENDED,
): Promise<ArchAlignment> {
  const stage = 'laying the earlier scan over the new one';
  await control.checkpoint(0, stage);
  const groups = trianglesByLabel(earlier.labels);
  const crowns = sampleOrientedPoints(crownsOf(earlier), ROUGH_SPACING_MM);
  const poses = roughPoses(crowns, sampleOrientedPoints(later, ROUGH_SPACING_MM), ROUGH);
  await control.checkpoint(0.3, stage);
  const surface = indexSurface(later);
  await control.checkpoint(0.45, stage);
  let whole: SurfaceFit | null = null;
  for (const [k, pose] of poses.entries()) {
    const fit = registerToSurface(crowns, surface, pose.motion, WHOLE);
    if (fit !== null && (whole === null || fit.nearShare > whole.nearShare)) whole = fit;
    await control.checkpoint(0.45 + (0.2 * (k + 1)) / poses.length, stage);
  }
  if (whole === null) throw noMatch(0, 0);
  const teeth: ToothAlignment[] = [];
  const order = earlier.teeth.toSorted((a, b) => toothSortIndex(a.tooth) - toothSortIndex(b.tooth));
  for (const record of order) {
    await control.checkpoint(0.65 + (0.35 * teeth.length) / order.length, stage);
    const own = submesh(earlier.mesh, groups.get(record.tooth) ?? new Uint32Array(0));
    const crown = sampleOrientedPoints(own, FINE_SPACING_MM);
    teeth.push(alignTooth(record.tooth, record.centre, crown, surface, whole.motion));
  }
  return trusted({ motion: whole.motion, teeth });
}

/** Everything but gum. */
function crownsOf({ mesh, labels }: LabelledTeeth): TriangleMesh {
  return submesh(
    mesh,
    Uint32Array.from(labels.keys()).filter((t) => labels[t]! > 0),
  );
}

function alignTooth(
  tooth: ToothNumber,
  centre: Vec3,
  crown: OrientedPoints,
  surface: IndexedSurface,
  whole: RigidMotion,
): ToothAlignment {
  const fit =
    crown.points.length / 3 < LEAST_POINTS ? null : registerToSurface(crown, surface, whole, SINGLE);
  const shiftMm = fit && distance(movePoint(fit.motion, centre), movePoint(whole, centre));
  if (
    fit?.isSettled &&
    shiftMm !== null &&
    fit.medianOffsetMm <= RECOGNISED_OFFSET_MM &&
    fit.nearShare >= RECOGNISED_SHARE &&
    shiftMm <= MOST_SHIFT_MM
  ) {
    const { motion, nearShare, medianOffsetMm } = fit;
    return { tooth, sighting: 'recognised', motion, nearShare, medianOffsetMm, shiftMm };
  }
  const { isFound } = surfacePartners(crown, surface, whole, WHOLE.reachesMm[0]);
  const inView = isFound.reduce((sum, one) => sum + one, 0) >= IN_VIEW_SHARE * isFound.length;
  return {
    tooth,
    sighting: inView ? 'changed' : 'not-seen',
    motion: whole,
    nearShare: fit?.nearShare ?? 0,
    medianOffsetMm: fit?.medianOffsetMm ?? null,
    shiftMm: null,
  };
}

/** Refuses an alignment that other teeth could give as well. */
function trusted(found: Omit<ArchAlignment, 'medianOffsetMm'>): ArchAlignment {
  const recognised = found.teeth.filter(({ sighting }) => sighting === 'recognised');
  const inView = found.teeth.filter(({ sighting }) => sighting !== 'not-seen').length;
  const enough =
    recognised.length >= LEAST_RECOGNISED && recognised.length >= LEAST_RECOGNISED_SHARE * inView;
  if (!enough) throw noMatch(recognised.length, inView);
  const offsets = recognised.map(({ medianOffsetMm }) => medianOffsetMm ?? 0).sort((a, b) => a - b);
  return { ...found, medianOffsetMm: offsets[Math.floor(offsets.length / 2)]! };
}

function noMatch(recognised: number, inView: number): Error {
  const counted = recognised === 0 ? 'no tooth' : `only ${recognised} of ${inView} teeth in view`;
  return inputError(
    'SCANS_DO_NOT_MATCH',
    `The new scan does not show the teeth of the earlier one: ${counted} could be recognised by shape, expected at least ${LEAST_RECOGNISED} and most of those in view. Check that it is the same patient and the same jaw.`,
    { details: { recognised, inView } },
  );
}

/** The motion of one tooth against the arch as a whole, in the earlier scan's frame. */
export function ownMotion(alignment: ArchAlignment, tooth: ToothAlignment): RigidMotion {
  return composeMotions(invertMotion(alignment.motion), tooth.motion);
}
