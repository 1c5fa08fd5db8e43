import { fitRigid } from './fit-rigid.ts';
import type { OrientedPoints } from './oriented-points.ts';
import { HISTOGRAM_LENGTH, pointHistograms } from './point-histograms.ts';
import { movePoint, type RigidMotion, rotateDirection } from './rigid.ts';
import { seededRandom } from './seeded-random.ts';
import type { Vec3 } from './types.ts';
import { addScaled, cross, distance, dot, normalize, perpendicularTo, scale, sub, vertexAt } from './vec3.ts';

export interface RoughSettings {
  /** Size of the neighbourhood whose shape is compared, mm. */
  readonly reachMm: number;
  /** Partners within this of their places count for a pose, mm. */
  readonly toleranceMm: number;
  /** Pairs of points nearer than this settle no pose well, mm. */
  readonly leastBaseMm: number;
  /** Random pairs to try at most; fewer where many points agree. */
  readonly mostDraws: number;
  /** Poses to return. */
  readonly poses: number;
  readonly seed: number;
}

/** A pose that many points of like shape agree on. */
export interface RoughPose {
  readonly motion: RigidMotion;
  readonly agreeing: number;
}

/** Two pairs are alike when their lengths agree to the tolerance, and their angles to this, rad. */
const ANGLE_RAD = 0.35;
/** Directions of partners agree within this cosine. */
const SAME_WAY = 0.7;
/** Poses whose effects differ by less than this at the points, on average, are one, mm. */
const SAME_POSE_MM = 3;
/** The draws end once a better pose would have been met with a chance of 1 - e^-20 ... */
const SURE = 20;
/** ... when this share of the pairs of agreeing points gives a pose that the others agree with (measured: a third). */
const GOOD_PAIR_SHARE = 0.1;

/**
 * Poses of one point cloud on another from any position: every point's partner is the one whose surroundings have the
 * most similar shape ({@link pointHistograms}); random pairs of partners that agree in length and angles give poses
 * (M. Fischler, R. Bolles, Comm. ACM 24 (1981) 381), and the poses that most partners agree on are returned, best first.
 * The draws are seeded: equal input gives equal poses.
 */
export function roughPoses(from: OrientedPoints, to: OrientedPoints, settings: RoughSettings): RoughPose[] {
  const partner = likestPoints(
    pointHistograms(from, settings.reachMm),
    pointHistograms(to, settings.reachMm),
  );
  const count = from.points.length / 3;
  if (count < 3 || to.points.length < 9) return [];
  const random = seededRandom(settings.seed);
  const kept: RoughPose[] = [];
  let needed = settings.mostDraws;
  for (let draw = 0; draw < needed; draw += 1) {
    const i = Math.floor(random() * count);
    const j = Math.floor(random() * count);
    const motion = poseOfPair(from, to, i, partner[i]!, j, partner[j]!, settings);
    if (motion === null) continue;
    const agreeing = countAgreeing(from, to, partner, motion, settings.toleranceMm);
    keepPose(kept, { motion, agreeing }, from, settings.poses);
    const share = kept[0]!.agreeing / count;
    needed = Math.min(settings.mostDraws, Math.ceil(SURE / (GOOD_PAIR_SHARE * share * share)));
  }
  const improved: RoughPose[] = [];
  for (const pose of kept) {
    keepPose(improved, improvePose(from, to, partner, pose, settings.toleranceMm), from, settings.poses);
  }
  return improved;
}

/** Per histogram of the first set the number of the likest of the second (smallest squared difference). */
function likestPoints(from: Float32Array, to: Float32Array): Int32Array {
  const L = HISTOGRAM_LENGTH;
  const partner = new Int32Array(from.length / L).fill(-1);
  for (let i = 0; i < from.length; i += L) {
    let best = Number.POSITIVE_INFINITY;
    for (let j = 0; j < to.length; j += L) {
      let d2 = 0;
      for (let k = 0; k < L && d2 < best; k += 1) {
        const d = from[i + k]! - to[j + k]!;
        d2 += d * d;
      }
      if (d2 >= best) continue;
      best = d2;
      partner[i / L] = j / L;
    }
  }
  return partner;
}

/** The motion that takes the oriented pair i, j to its partners, or null when the pairs are not alike. */
function poseOfPair(
  from: OrientedPoints,
  to: OrientedPoints,
  i: number,
  pi: number,
  j: number,
  pj: number,
  { leastBaseMm, toleranceMm }: RoughSettings,
): RigidMotion | null {
  if (i === j || pi < 0 || pj < 0 || pi === pj) return null;
  const [a, b] = [vertexAt(from.points, i), vertexAt(from.points, j)];
  const [c, d] = [vertexAt(to.points, pi), vertexAt(to.points, pj)];
  const base = distance(a, b);
  if (base < leastBaseMm || Math.abs(distance(c, d) - base) > toleranceMm) return null;
  const [na, nb] = [vertexAt(from.normals, i), vertexAt(from.normals, j)];
  const [nc, nd] = [vertexAt(to.normals, pi), vertexAt(to.normals, pj)];
  const [u, v] = [normalize(sub(b, a)), normalize(sub(d, c))];
  const alike = (p: number, q: number): boolean =>
    Math.abs(Math.acos(clamp(p)) - Math.acos(clamp(q))) < ANGLE_RAD;
  if (!alike(dot(na, u), dot(nc, v)) || !alike(dot(nb, u), dot(nd, v)) || !alike(dot(na, nb), dot(nc, nd))) {
    return null;
  }
  // The mean of both normals across the pair settles the turn about it.
  const across = (n1: Vec3, n2: Vec3, axis: Vec3): Vec3 =>
    normalize(perpendicularTo([n1[0] + n2[0], n1[1] + n2[1], n1[2] + n2[2]], axis));
  const [p, q] = [across(na, nb, u), across(nc, nd, v)];
  if (dot(p, p) === 0 || dot(q, q) === 0) return null;
  const [r, s] = [cross(u, p), cross(v, q)];
  const rotation = [0, 1, 2].flatMap((k) =>
    [0, 1, 2].map((l) => v[k]! * u[l]! + q[k]! * p[l]! + s[k]! * r[l]!),
  );
  const middle = scale(addScaled(a, b, 1), 0.5);
  const goal = scale(addScaled(c, d, 1), 0.5);
  return { rotation, translation: sub(goal, rotateDirection({ rotation, translation: [0, 0, 0] }, middle)) };
}

function clamp(x: number): number {
  return Math.max(-1, Math.min(1, x));
}

/** Calls `found` for every point whose partner lies near its place and looks the same way. */
function eachAgreeing(
  from: OrientedPoints,
  to: OrientedPoints,
  partner: Int32Array,
  motion: RigidMotion,
  toleranceMm: number,
  found: (i: number) => void,
): void {
  for (let i = 0; i < partner.length; i += 1) {
    if (partner[i]! < 0) continue;
    const p = movePoint(motion, vertexAt(from.points, i));
    if (distance(p, vertexAt(to.points, partner[i]!)) > toleranceMm) continue;
    const n = rotateDirection(motion, vertexAt(from.normals, i));
    if (dot(n, vertexAt(to.normals, partner[i]!)) > SAME_WAY) found(i);
  }
}

function countAgreeing(
  from: OrientedPoints,
  to: OrientedPoints,
  partner: Int32Array,
  motion: RigidMotion,
  toleranceMm: number,
): number {
  let count = 0;
  eachAgreeing(from, to, partner, motion, toleranceMm, () => {
    count += 1;
  });
  return count;
}

/** Keeps the best poses, one of each kind. */
function keepPose(kept: RoughPose[], pose: RoughPose, from: OrientedPoints, most: number): void {
  if (kept.length === most && pose.agreeing <= kept[kept.length - 1]!.agreeing) return;
  const like = kept.findIndex((other) => isSamePose(other.motion, pose.motion, from));
  if (like >= 0) {
    if (kept[like]!.agreeing >= pose.agreeing) return;
    kept.splice(like, 1);
  }
  const place = kept.findIndex((other) => other.agreeing < pose.agreeing);
  kept.splice(place < 0 ? kept.length : place, 0, pose);
  if (kept.length > most) kept.pop();
}

function isSamePose(a: RigidMotion, b: RigidMotion, { points }: OrientedPoints): boolean {
  const count = points.length / 3;
  const step = Math.max(1, Math.floor(count / 16));
  let sum = 0;
  let seen = 0;
  for (let i = 0; i < count; i += step) {
    sum += distance(movePoint(a, vertexAt(points, i)), movePoint(b, vertexAt(points, i)));
    seen += 1;
  }
  return sum / seen < SAME_POSE_MM;
}

/** The pose of all partners that agree, twice over. */
function improvePose(
  from: OrientedPoints,
  to: OrientedPoints,
  partner: Int32Array,
  pose: RoughPose,
  toleranceMm: number,
): RoughPose {
  let best = pose;
  for (let round = 0; round < 2; round += 1) {
    const sources: number[] = [];
    const goals: number[] = [];
    eachAgreeing(from, to, partner, best.motion, toleranceMm, (i) => {
      sources.push(...vertexAt(from.points, i));
      goals.push(...vertexAt(to.points, partner[i]!));
    });
    const motion = fitRigid(sources, goals);
    if (motion === null) return best;
    const agreeing = countAgreeing(from, to, partner, motion, toleranceMm);
    if (agreeing < best.agreeing) return best;
    best = { motion, agreeing };
  }
  return best;
}
