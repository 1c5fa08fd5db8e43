import { EigenvalueDecomposition, Matrix } from 'ml-matrix';
import { inputError } from '../geometry/archgap-error.ts';
import { areaVectors, triangleCentroids } from '../geometry/triangle-geometry.ts';
import type { TriangleMesh, Vec3 } from '../geometry/types.ts';
import { add, cross, dot, length, normalize, perpendicularTo, scale, sub } from '../geometry/vec3.ts';
import { templatePlace } from './arch-template.ts';
import type { ClickSet, Jaw, OcclusalFrame, ToothNumber } from './types.ts';

/** A tooth and where it stands. */
export interface PlacedTooth {
  readonly tooth: ToothNumber;
  readonly point: Vec3;
}

/** Surface this near a click votes for the occlusal direction, mm. */
const NEAR_CLICK_MM = 3;
/** An open scan has a net normal of at least this share of its area; a closed base has none to speak of. */
const OPEN_SCAN_NET_NORMAL = 0.08;
/** The plane through the clicks counts only when the clicks span it well and it agrees with the surface. */
const PLANE_MIN_CLICKS = 5;
const PLANE_MIN_AGREEMENT = 0.5;
const PLANE_MIN_EIGENVALUE_RATIO = 4;
/**
 * On a model with a closed base, which has no net normal, clicks that span a plane this plainly leave only open which
 * way it faces, and the surface round them need not agree as well: it may lean forward by more than 60 degrees. Not so
 * where the clicks lie nearly in a line, as in half an arch: they span many planes (a whole arch spreads by 12 mm).
 */
const PLAIN_PLANE_EIGENVALUE_RATIO = 20;
const PLAIN_PLANE_LEAST_SECOND_RMS_MM = 3;
const PLAIN_PLANE_MIN_AGREEMENT = 0.2;
/** Weight of the surface normals beside the plane of the clicks. */
const NORMAL_WEIGHT = 0.25;
/** Cosine below which the normals near the clicks contradict the whole open scan: the clicks are on the side. */
const SIDE_CLICKS = Math.cos(Math.PI / 6);

/**
 * Occlusal frame from the clicks and the surface under them: z from the surface normals near the clicks, the net
 * normal of an open scan and the plane through the clicks; x (patient's left) and y (front) by turning a textbook
 * arch onto the clicks. Origin: middle of the clicks.
 *
 * @throws ArchgapError `NO_CLICKS`
 */
export function fitOcclusalFrame(scan: TriangleMesh, clicks: ClickSet): OcclusalFrame {
  const teeth = firstClicks(clicks);
  if (teeth.length === 0) throw noClicks();
  const z = occlusalAxis(surfaceVotes(areaVectors(scan), triangleCentroids(scan), teeth), teeth);
  return frameAround(z, teeth, clicks.jaw, surfaceCentre(scan));
}

/** The error for a click set without a single tooth. */
export function noClicks(): Error {
  return inputError(
    'NO_CLICKS',
    'No tooth has been clicked; click each tooth once near the middle of its crown.',
  );
}

/** The first click of each tooth, in the order of the clicks: later ones on the same tooth are corrections. */
export function firstClicks(clicks: ClickSet): PlacedTooth[] {
  const seen = new Set<ToothNumber>();
  const teeth: PlacedTooth[] = [];
  for (const { tooth, point } of clicks.clicks) {
    if (tooth === 'gum' || seen.has(tooth)) continue;
    seen.add(tooth);
    teeth.push({ tooth, point });
  }
  return teeth;
}

/** What the surface says about the occlusal direction. */
export interface SurfaceVotes {
  /** Sum of area vectors within reach of a click, mm^2. */
  readonly nearClicks: Vec3;
  /** Sum of all area vectors, mm^2. */
  readonly total: Vec3;
  readonly areaMm2: number;
}

/**
 * Sums area vectors, all of them and those near a click.
 *
 * @param areaVector - (n x 3) outward normal times area of pieces of the surface, mm^2
 * @param centroid - (n x 3) their places, mm
 */
export function surfaceVotes(
  areaVector: Float32Array,
  centroid: Float32Array,
  teeth: readonly PlacedTooth[],
): SurfaceVotes {
  const places = new Float64Array(3 * teeth.length);
  for (const [k, { point }] of teeth.entries()) places.set(point, 3 * k);
  const sums = new Float64Array(7);
  addVotes(areaVector, centroid, places, sums);
  return {
    nearClicks: [sums[0]!, sums[1]!, sums[2]!],
    total: [sums[3]!, sums[4]!, sums[5]!],
    areaMm2: sums[6]!,
  };
}

/** @param sums - area vectors near a place (3) and of all (3), and the area; added to */
function addVotes(
  areaVector: Float32Array,
  centroid: Float32Array,
  places: Float64Array,
  sums: Float64Array,
): void {
  const reach2 = NEAR_CLICK_MM * NEAR_CLICK_MM;
  for (let i = 0; i < areaVector.length; i += 3) {
    const nx = areaVector[i]!;
    const ny = areaVector[i + 1]!;
    const nz = areaVector[i + 2]!;
    sums[3]! += nx;
    sums[4]! += ny;
    sums[5]! += nz;
    sums[6]! += Math.sqrt(nx * nx + ny * ny + nz * nz);
    for (let at = 0; at < places.length; at += 3) {
      const dx = centroid[i]! - places[at]!;
      const dy = centroid[i + 1]! - places[at + 1]!;
      const dz = centroid[i + 2]! - places[at + 2]!;
      if (dx * dx + dy * dy + dz * dz > reach2) continue;
      sums[0]! += nx;
      sums[1]! += ny;
      sums[2]! += nz;
      break;
    }
  }
}

/** Unit direction towards the crowns' tops. */
export function occlusalAxis(votes: SurfaceVotes, teeth: readonly PlacedTooth[]): Vec3 {
  let z = normalize(votes.nearClicks);
  const isOpen = length(votes.total) > OPEN_SCAN_NET_NORMAL * votes.areaMm2;
  if (isOpen) {
    const whole = normalize(votes.total);
    z = dot(z, whole) < SIDE_CLICKS ? whole : normalize(add(z, whole));
  }
  if (teeth.length < PLANE_MIN_CLICKS) return z;
  const plane = clickPlane(teeth.map((tooth) => tooth.point));
  const facing = dot(plane.normal, z) < 0 ? scale(plane.normal, -1) : plane.normal;
  const isPlain =
    !isOpen &&
    plane.eigenvalueRatio > PLAIN_PLANE_EIGENVALUE_RATIO &&
    plane.secondRms >= PLAIN_PLANE_LEAST_SECOND_RMS_MM;
  const leastAgreement = isPlain ? PLAIN_PLANE_MIN_AGREEMENT : PLANE_MIN_AGREEMENT;
  if (dot(facing, z) <= leastAgreement || plane.eigenvalueRatio <= PLANE_MIN_EIGENVALUE_RATIO) return z;
  return normalize(add(facing, scale(z, NORMAL_WEIGHT)));
}

interface ClickPlane {
  /** Of the plane of least squares. */
  readonly normal: Vec3;
  /** How much less they spread along the normal than in the plane. */
  readonly eigenvalueRatio: number;
  /** How far they spread along the shorter axis in the plane, rms, mm. */
  readonly secondRms: number;
}

function clickPlane(points: readonly Vec3[]): ClickPlane {
  const centre = meanOf(points);
  const covariance = Matrix.zeros(3, 3);
  for (const point of points) {
    const d = sub(point, centre);
    for (let r = 0; r < 3; r++) {
      for (let c = 0; c < 3; c++) covariance.set(r, c, covariance.get(r, c) + d[r]! * d[c]!);
    }
  }
  const eigen = new EigenvalueDecomposition(covariance, { assumeSymmetric: true });
  const order = [0, 1, 2].sort((a, b) => eigen.realEigenvalues[a]! - eigen.realEigenvalues[b]!);
  const vectors = eigen.eigenvectorMatrix;
  const least = order[0]!;
  const normal: Vec3 = [vectors.get(0, least), vectors.get(1, least), vectors.get(2, least)];
  const second = eigen.realEigenvalues[order[1]!]!;
  const smallest = Math.max(eigen.realEigenvalues[least]!, Number.MIN_VALUE);
  return {
    normal,
    eigenvalueRatio: second / smallest,
    secondRms: Math.sqrt(second / points.length),
  };
}

function meanOf(points: readonly Vec3[]): Vec3 {
  const sum = points.reduce<Vec3>((total, point) => add(total, point), [0, 0, 0]);
  return scale(sum, 1 / points.length);
}

/** Plain mean of the vertices: enough to tell the inside of the arch from the outside. */
function surfaceCentre(mesh: TriangleMesh): Vec3 {
  const sum: [number, number, number] = [0, 0, 0];
  for (let k = 0; k < mesh.positions.length; k += 3) {
    sum[0] += mesh.positions[k]!;
    sum[1] += mesh.positions[k + 1]!;
    sum[2] += mesh.positions[k + 2]!;
  }
  return scale(sum, 3 / mesh.positions.length);
}

/**
 * Frame with a given z: x and y by the plane rotation that lays a textbook arch best onto the teeth (Procrustes in
 * the plane; the jaw fixes the sense of turning). A single tooth has no direction: the middle of the scan then
 * stands for the middle of the arch.
 *
 * @param centre - middle of the scan's surface; used for a single tooth only
 */
export function frameAround(z: Vec3, teeth: readonly PlacedTooth[], jaw: Jaw, centre: Vec3): OcclusalFrame {
  const origin = meanOf(teeth.map((tooth) => tooth.point));
  const e1 = normalize(perpendicularTo(leastAligned(z), z));
  // x, y, z are right-handed in an upper jaw and left-handed in a lower jaw.
  const sense = jaw === 'upper' ? 1 : -1;
  const e2 = scale(cross(z, e1), sense);
  const templates = teeth.map((tooth) => templatePlace(tooth.tooth, jaw));
  const pairs = teeth.map((tooth, k) => ({ point: tooth.point, template: templates[k]! }));
  if (pairs.length === 1) pairs.push({ point: centre, template: [0, 0] });
  const tx = pairs.reduce((sum, pair) => sum + pair.template[0], 0) / pairs.length;
  const ty = pairs.reduce((sum, pair) => sum + pair.template[1], 0) / pairs.length;
  const middle = meanOf(pairs.map((pair) => pair.point));
  let sine = 0;
  let cosine = 0;
  for (const { point, template } of pairs) {
    const d = sub(point, middle);
    const u = dot(d, e1);
    const v = dot(d, e2);
    cosine += (template[0] - tx) * u + (template[1] - ty) * v;
    sine += (template[0] - tx) * v - (template[1] - ty) * u;
  }
  const norm = Math.hypot(sine, cosine);
  const [c, s] = norm > 0 ? [cosine / norm, sine / norm] : [1, 0];
  const x = add(scale(e1, c), scale(e2, s));
  const y = add(scale(e1, -s), scale(e2, c));
  return { origin, x, y, z };
}

export function leastAligned(z: Vec3): Vec3 {
  const [ax, ay, az] = [Math.abs(z[0]), Math.abs(z[1]), Math.abs(z[2])];
  if (ax <= ay && ax <= az) return [1, 0, 0];
  return ay <= az ? [0, 1, 0] : [0, 0, 1];
}
