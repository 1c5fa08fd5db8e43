import type { JobControl } from '../geometry/job-control.ts';
import type { TriangleMesh, Vec3 } from '../geometry/types.ts';
import { dot, lerp, sub } from '../geometry/vec3.ts';
import { type ArchCurve, archTangentAt } from '../teeth/arch-curve.ts';
import type { Jaw, OcclusalFrame, ToothMap, ToothNumber } from '../teeth/types.ts';
import { type ArchSurface, prepareArchSurface } from './arch-surface.ts';
import { type ContactFrame, contactFrame } from './contact-frame.ts';
import { decideStatus } from './decide.ts';
import { measurePair, NOTHING_SEEN, type PairMeasurement } from './measure-pair.ts';
import { type NeighbourPair, neighbourPairs } from './neighbour-pairs.ts';
import type { OpenGap } from './open-gap.ts';
import { UNCALIBRATED_SCANNER } from './settings.ts';
import type { Contact, FittedWalls, MeasureSettings } from './types.ts';

/** A labelled scan with its frame: what the contacts are measured on. */
export interface LabelledArch {
  readonly mesh: TriangleMesh;
  /** ISO 3950 number per triangle. */
  readonly labels: ToothMap;
  readonly jaw: Jaw;
  readonly frame: OcclusalFrame;
  readonly curve: ArchCurve;
  /** Teeth of the scan and their centres, mm. */
  readonly centres: ReadonlyMap<ToothNumber, Vec3>;
}

/** Directions at the contact of two teeth: along the arch curve next to the middle of their centres. */
function pairFrame(arch: LabelledArch, pair: NeighbourPair): ContactFrame {
  const a = arch.centres.get(pair.toothA);
  const b = arch.centres.get(pair.toothB);
  if (a === undefined || b === undefined)
    throw new RangeError(`no centre for ${pair.toothA} or ${pair.toothB}`);
  return contactFrame(arch.frame, arch.jaw, archTangentAt(arch.curve, lerp(a, b, 0.5)));
}

/**
 * Measures all contacts of an arch, patient's right to left.
 * @param prepared - the arch's surface, if it was prepared for something else before
 * @returns one record per neighbouring pair; pairs with an absent tooth between them have status `missing-tooth`
 */
export async function measureArch(
  arch: LabelledArch,
  settings: MeasureSettings,
  control: JobControl,
  prepared: ArchSurface | null = null,
): Promise<Contact[]> {
  await control.checkpoint(0, 'preparing the walls');
  const surface = prepared ?? prepareArchSurface(arch.mesh, arch.labels);
  const pairs = neighbourPairs(arch.jaw, [...arch.centres.keys()]);
  const contacts: Contact[] = [];
  for (const pair of pairs) {
    await control.checkpoint((1 + contacts.length) / (1 + pairs.length), 'measuring contacts');
    contacts.push(measureNeighbours(arch, surface, pair, settings));
  }
  return contacts;
}

function measureNeighbours(
  arch: LabelledArch,
  surface: ArchSurface,
  pair: NeighbourPair,
  settings: MeasureSettings,
): Contact {
  const frame = pairFrame(arch, pair);
  const a = surface.teeth.get(pair.toothA);
  const b = surface.teeth.get(pair.toothB);
  if (pair.between.length > 0) return missingToothContact(arch, pair, frame, settings.limitMm);
  if (a === undefined || b === undefined) {
    return contactRecord(arch, pair, frame, settings.limitMm, { ...NOTHING_SEEN, notes: ['not-found'] });
  }
  const scanner = settings.scanner ?? UNCALIBRATED_SCANNER;
  const measured = measurePair(surface, a, b, frame, scanner, settings.limitMm);
  return contactRecord(arch, pair, frame, settings.limitMm, measured);
}

/** The record of a site where a tooth is absent: nothing is measured there. */
export function missingToothContact(
  arch: Pick<LabelledArch, 'frame'>,
  pair: NeighbourPair,
  frame: ContactFrame,
  limitMm: number,
): Contact {
  return { ...contactRecord(arch, pair, frame, limitMm, NOTHING_SEEN), status: 'missing-tooth' };
}

/** The contact as it leaves: status decided, place in the frame of the arch. */
export function contactRecord(
  arch: Pick<LabelledArch, 'frame'>,
  pair: NeighbourPair,
  frame: ContactFrame,
  limitMm: number,
  measured: PairMeasurement,
): Contact {
  const { gap, bridge, upperBoundMm, pointA, pointB } = measured;
  const seen = pointA !== null && pointB !== null;
  const { notes } = measured;
  const status = decideStatus({ missingTooth: false, gap, bridge, upperBoundMm, notes }, limitMm);
  return {
    toothA: pair.toothA,
    toothB: pair.toothB,
    status,
    gap,
    upperBoundMm,
    nearestMm: measured.nearestMm,
    clearanceMm: measured.clearanceMm,
    bridge,
    bridgeHeightMm: measured.bridgeHeightMm,
    bridgeWidthMm: measured.bridgeWidthMm,
    pointA,
    pointB,
    closingDirection: frame.t,
    heightMm: seen ? dot(sub(arch.frame.origin, lerp(pointA, pointB, 0.5)), frame.o) : null,
    slipMm: seen && measured.nearestMm !== null ? dot(sub(pointB, pointA), frame.b) : null,
    limitMm,
    notes,
    ...(measured.coarseEdgeMm === null ? {} : { coarseEdgeMm: measured.coarseEdgeMm }),
    ...(measured.angleRad === null ? {} : { angleRad: measured.angleRad }),
    ...(measured.fit === null ? {} : { fittedWalls: fittedWalls(measured.fit) }),
  };
}

/** The fit as plain data for the record. */
function fittedWalls({ window, patchA, patchB }: OpenGap): FittedWalls {
  const { origin, u, v, w } = window;
  const { radiusMm, degree } = patchA;
  return { origin, u, v, w, radiusMm, degree, a: [...patchA.coefficients], b: [...patchB.coefficients] };
}
