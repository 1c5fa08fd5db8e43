import { closestOfMeshes } from '../geometry/mesh-distance.ts';
import { closestPoint, indexSurface } from '../geometry/surface-distance.ts';
import type { TriangleMesh, Vec3 } from '../geometry/types.ts';
import { addScaled, normalize, scale, sub } from '../geometry/vec3.ts';
import type { ToothMap, ToothNumber } from '../teeth/types.ts';
import { type ArchSurface, prepareArchSurface, type ToothSurface } from './arch-surface.ts';
import type { ContactFrame } from './contact-frame.ts';
import type { FitNoteCode, FitScan } from './fit-types.ts';
import { gapEstimate } from './gap-budget.ts';
import { type HighSpot, highSpot } from './high-spots.ts';
import { measurePair, type PairMeasurement } from './measure-pair.ts';
import { UNCALIBRATED_SCANNER } from './settings.ts';
import type { Difference, ScannerProfile } from './types.ts';

/** A scan with a restoration in the place of its tooth, prepared for measuring once for both sides. */
export interface FitBench {
  readonly tooth: ToothNumber;
  readonly scanner: ScannerProfile;
  readonly arch: ArchSurface;
  /** Numbers from here on are the restoration's, in the positions of the mesh. */
  readonly firstOwn: number;
}

/** One side of a bench. */
export interface FitPair {
  readonly bench: FitBench;
  readonly neighbour: ToothNumber;
  readonly directions: ContactFrame;
  /** The neighbour stands nearer the patient's right: it is tooth A of the pair. */
  readonly isFirst: boolean;
}

/** The signed space of one side, or why there is none. */
export type SignedSpace =
  | {
      readonly space: Difference;
      readonly ends: { readonly own: Vec3; readonly neighbour: Vec3 };
      readonly notes: readonly string[];
    }
  | {
      readonly space: null;
      readonly notes: readonly string[];
      /** Surfaces that cross although the restoration was drawn back: the overlap is deeper than this, mm. */
      readonly deeperThanMm: number | null;
      /** What is seen of the walls leaves no larger space than this, mm. */
      readonly atMostMm: number | null;
    };

/** Ways that a restoration is drawn back before measuring, mm: overlaps up to nearly as deep can be measured. */
const RETRACTIONS_MM = [0, 0.4, 1] as const;
/** A space below this is measured on a restoration drawn back: walls that cross show no free closest place, mm. */
const LEAST_FREE_MM = 0.05;
/** Surfaces that touch lie no farther apart than the least free space and the noise of the scan, mm. */
const TOUCHING_MARGIN_MM = 0.1;
/** A corner that stands out of the fitted wall by less is the fit's own error, mm. */
const LEAST_SPOT_MM = 0.005;
const HIGH_SPOT: FitNoteCode = 'high-spot';
const CROSSING: FitNoteCode = 'crossing';
/** Only a coarse scan's number depends on a limit; a restoration has none. */
const NO_LIMIT_MM = 0;

/**
 * The scan with a restoration in the place of its tooth. What stands there (stump, scan body, healing gum) is left out:
 * it is covered by it.
 */
export function mergeRestoration(
  restoration: TriangleMesh,
  tooth: ToothNumber,
  scan: FitScan,
): { readonly mesh: TriangleMesh; readonly labels: ToothMap } {
  const { mesh, labels } = scan;
  const firstOwn = mesh.positions.length;
  const positions = new Float32Array(firstOwn + restoration.positions.length);
  positions.set(mesh.positions);
  positions.set(restoration.positions, firstOwn);
  let kept = 0;
  for (const label of labels) if (label !== tooth) kept += 1;
  const triangles = new Uint32Array(3 * kept + restoration.triangles.length);
  const all = new Uint8Array(triangles.length / 3).fill(tooth);
  let at = 0;
  for (let f = 0; f < labels.length; f += 1) {
    if (labels[f] === tooth) continue;
    for (let k = 0; k < 3; k += 1) triangles[3 * at + k] = mesh.triangles[3 * f + k]!;
    all[at] = labels[f]!;
    at += 1;
  }
  const shift = firstOwn / 3;
  for (const [i, v] of restoration.triangles.entries()) triangles[3 * at + i] = v + shift;
  return { mesh: { positions, triangles }, labels: all };
}

/** Both sides are measured on one preparation. */
export function prepareBench(restoration: TriangleMesh, tooth: ToothNumber, scan: FitScan): FitBench {
  const { mesh, labels } = mergeRestoration(restoration, tooth, scan);
  return {
    tooth,
    scanner: oneWall(scan.scanner ?? UNCALIBRATED_SCANNER),
    arch: prepareArchSurface(mesh, labels),
    firstOwn: scan.mesh.positions.length,
  };
}

/** Only one of the two walls comes from a scanner: half the variance of the waves, half of what fattens both. */
function oneWall(scanner: ScannerProfile): ScannerProfile {
  return {
    ...scanner,
    wavinessMm: scanner.wavinessMm / Math.SQRT2,
    systematicHalfWidthMm: scanner.systematicHalfWidthMm / 2,
  };
}

/**
 * The signed space of one side. Walls that touch or cross are measured on the restoration drawn back by s along the
 * common normal of both walls, and s is taken off again: a shift along the common normal leaves the closest places
 * where they are, so that this is exact for smooth walls. What free walls refuse to say is not asked again farther off.
 */
export function signedSpace(pair: FitPair): SignedSpace {
  const { t } = pair.directions;
  // Away from the neighbour.
  const away = pair.isFirst ? t : scale(t, -1);
  let touchedAtMm = 0;
  // As it stands, not drawn back: only there is a bound on what is seen one on the space, and a crossing the design's own.
  let atMostMm: number | null = null;
  let crossesInPlace = false;
  let notes: readonly string[] = [];
  const unmeasured = (): SignedSpace => ({
    space: null,
    notes: crossesInPlace ? [...notes, CROSSING] : notes,
    deeperThanMm: atLeast(touchedAtMm),
    atMostMm,
  });
  for (const backMm of RETRACTIONS_MM) {
    let way: Vec3 = scale(away, backMm);
    let measured = measureAt(pair, way);
    if (backMm > 0 && measured.gap !== null) {
      // Once more along the common normal of the two walls.
      const across = sub(measured.pointB!, measured.pointA!);
      way = scale(normalize(pair.isFirst ? across : scale(across, -1)), backMm);
      measured = measureAt(pair, way);
    }
    const crosses = isCrossing(pair, way);
    if (backMm === 0) {
      atMostMm = measured.upperBoundMm;
      crossesInPlace = crosses;
    }
    const { gap, pointA, pointB } = measured;
    const spot = spotBefore(pair, way, measured);
    const freeMm = spot?.mm ?? gap?.valueMm ?? null;
    if (!crosses && freeMm !== null && freeMm >= LEAST_FREE_MM && pointA !== null && pointB !== null) {
      const foot = pair.isFirst ? pointB : pointA;
      return {
        space: restored(measured, freeMm - backMm, pair.bench.scanner),
        ends: { own: addScaled(spot?.point ?? foot, way, -1), neighbour: pair.isFirst ? pointA : pointB },
        notes:
          spot === null ? measured.notes : [...measured.notes.filter((note) => note !== 'spike'), HIGH_SPOT],
      };
    }
    const touches =
      crosses ||
      (freeMm !== null && freeMm < LEAST_FREE_MM) ||
      (measured.nearestMm !== null && measured.nearestMm < LEAST_FREE_MM);
    notes = measured.notes;
    if (!touches) break;
    touchedAtMm = backMm;
  }
  return unmeasured();
}

/** Depth of an overlap that still was there when the restoration had been drawn back so far. */
function atLeast(touchedAtMm: number): number | null {
  return touchedAtMm > TOUCHING_MARGIN_MM ? touchedAtMm - TOUCHING_MARGIN_MM : null;
}

/** A corner of the designed wall that stands out of its fitted one towards the neighbour; null where none does. */
function spotBefore(pair: FitPair, way: Vec3, { gap, fit }: PairMeasurement): HighSpot | null {
  if (gap === null || fit === null) return null;
  const { arch, own, other } = shiftedBy(pair, way);
  const scanned = indexSurface(arch.mesh, other.triangles);
  const wall = {
    positions: arch.mesh.positions,
    own: own.vertices,
    isFirst: pair.isFirst,
    scannedMm: (point: Vec3) => closestPoint(scanned, point, gap.valueMm)?.distanceMm ?? null,
  };
  return highSpot(fit, wall, gap.valueMm - LEAST_SPOT_MM);
}

/** The estimate with the restoration back in its place, and what the scanner adds to a space of that size. */
function restored({ gap, fit }: PairMeasurement, valueMm: number, scanner: ScannerProfile): Difference {
  const u95Mm = fit === null ? gap!.u95Mm : gapEstimate({ ...fit, valueMm }, scanner).u95Mm;
  return { valueMm, u95Mm };
}

/** Both teeth of the pair with the restoration moved by `way`: a shift changes neither normals nor neighbourhoods. */
function shiftedBy({ bench, neighbour }: FitPair, way: Vec3) {
  const { arch, firstOwn, tooth } = bench;
  const positions = arch.mesh.positions.slice();
  for (let i = firstOwn; i < positions.length; i += 1) positions[i]! += way[(i - firstOwn) % 3]!;
  const at = arch.teeth.get(tooth);
  const other = arch.teeth.get(neighbour);
  if (at === undefined || other === undefined) throw new RangeError('a tooth without triangles');
  const moved = (line: Float64Array) => line.map((value, i) => value + way[i % 3]!);
  const own: ToothSurface = { ...at, gumLine: moved(at.gumLine), cutLine: moved(at.cutLine) };
  return { arch: { ...arch, mesh: { ...arch.mesh, positions } }, own, other };
}

/** The pair as measured on scans, with the restoration in the place of its tooth, moved by `way`. */
function measureAt(pair: FitPair, way: Vec3): PairMeasurement {
  const { arch, own, other } = shiftedBy(pair, way);
  const [a, b] = pair.isFirst ? [other, own] : [own, other];
  return measurePair(arch, a, b, pair.directions, pair.bench.scanner, NO_LIMIT_MM);
}

/** Whether the two surfaces, not their fitted walls, run through each other. */
function isCrossing(pair: FitPair, way: Vec3): boolean {
  const { arch, own, other } = shiftedBy(pair, way);
  return closestOfMeshes(arch.mesh, arch.mesh, own.triangles, other.triangles).distanceMm === 0;
}
