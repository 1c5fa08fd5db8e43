import { Matrix, solve } from 'ml-matrix';
import type { Vec3 } from '../geometry/types.ts';
import { add, addScaled, distance, dot, normalize, perpendicularTo, scale, sub } from '../geometry/vec3.ts';
import type { OcclusalFrame } from './types.ts';

/**
 * Smooth curve through the tooth centres from the right end of the arch to the left: a natural cubic smoothing
 * spline (Reinsch 1967, Numer. Math. 10:177) per coordinate over the chord length. Scan frame, mm.
 */
export interface ArchCurve {
  readonly frame: OcclusalFrame;
  /** Chord length at each centre, mm. */
  readonly knots: readonly number[];
  /** Smoothed centres. */
  readonly values: readonly Vec3[];
  /** Second derivatives at the knots, mm per mm^2. */
  readonly curvatures: readonly Vec3[];
}

/**
 * Smoothing weight, mm^3 at the spacing of teeth: it takes the side-to-side steps of crowded teeth out of the
 * tangent and leaves the arch form (a unit zigzag between teeth 7 mm apart keeps about a third of its height).
 */
const SMOOTHING_MM3 = 20;
/** Centres nearer to each other than this count as one: the spline needs growing knots. */
const LEAST_STEP_MM = 0.1;
const SAMPLES_PER_SPAN = 16;

/**
 * Fits the arch curve.
 *
 * @param centres - tooth centres in arch order, patient's right to left; at least one
 */
export function fitArchCurve(frame: OcclusalFrame, centres: readonly Vec3[]): ArchCurve {
  const kept: Vec3[] = [];
  for (const centre of centres) {
    const last = kept.at(-1);
    if (!last || distance(last, centre) > LEAST_STEP_MM) kept.push(centre);
  }
  const knots = [0];
  for (let k = 1; k < kept.length; k++) knots.push(knots[k - 1]! + distance(kept[k - 1]!, kept[k]!));
  if (kept.length < 3) return { frame, knots, values: kept, curvatures: kept.map(() => [0, 0, 0]) };
  return { frame, knots, ...smoothingSpline(knots, kept) };
}

/** Reinsch's normal equations: (R + a Q'Q) g = Q'y, values = y - a Q g; g the second derivatives inside. */
function smoothingSpline(
  knots: readonly number[],
  y: readonly Vec3[],
): Pick<ArchCurve, 'values' | 'curvatures'> {
  const n = knots.length;
  const h = knots.slice(1).map((knot, k) => knot - knots[k]!);
  const Q = Matrix.zeros(n, n - 2);
  const R = Matrix.zeros(n - 2, n - 2);
  for (let j = 0; j < n - 2; j++) {
    Q.set(j, j, 1 / h[j]!);
    Q.set(j + 1, j, -1 / h[j]! - 1 / h[j + 1]!);
    Q.set(j + 2, j, 1 / h[j + 1]!);
    R.set(j, j, (h[j]! + h[j + 1]!) / 3);
    if (j + 1 < n - 2) {
      R.set(j, j + 1, h[j + 1]! / 6);
      R.set(j + 1, j, h[j + 1]! / 6);
    }
  }
  const data = new Matrix(y.map((point) => [...point]));
  const Qt = Q.transpose();
  const g = solve(Matrix.add(R, Qt.mmul(Q).mul(SMOOTHING_MM3)), Qt.mmul(data));
  const smooth = Matrix.sub(data, Q.mmul(g).mul(SMOOTHING_MM3));
  const row = (matrix: Matrix, r: number): Vec3 => [matrix.get(r, 0), matrix.get(r, 1), matrix.get(r, 2)];
  const zero: Vec3 = [0, 0, 0];
  return {
    values: y.map((_, r) => row(smooth, r)),
    curvatures: y.map((_, r) => (r === 0 || r === n - 1 ? zero : row(g, r - 1))),
  };
}

/** Point and derivative of the curve at chord length s; straight on beyond the ends. */
function evaluate(curve: ArchCurve, s: number): { point: Vec3; slope: Vec3 } {
  const { knots, values, curvatures } = curve;
  if (knots.length === 1) return { point: addScaled(values[0]!, curve.frame.x, s), slope: curve.frame.x };
  const span = spanAt(curve, s);
  const { k, h, a, b } = span;
  const chord = scale(sub(values[k + 1]!, values[k]!), 1 / h);
  const turn = add(
    scale(curvatures[k]!, (-(3 * a * a - 1) * h) / 6),
    scale(curvatures[k + 1]!, ((3 * b * b - 1) * h) / 6),
  );
  const slope = add(chord, turn);
  return { point: addScaled(pointOf(curve, span), slope, s - span.inside), slope };
}

/** Where a parameter lies between two knots. */
interface Span {
  readonly k: number;
  readonly h: number;
  readonly a: number;
  readonly b: number;
  /** The parameter, held between the ends, mm. */
  readonly inside: number;
}

/** The span of a parameter; at least two knots. */
function spanAt({ knots }: ArchCurve, s: number): Span {
  const inside = Math.min(Math.max(s, 0), knots.at(-1)!);
  let k = 0;
  while (k < knots.length - 2 && knots[k + 1]! < inside) k++;
  const h = knots[k + 1]! - knots[k]!;
  const b = (inside - knots[k]!) / h;
  return { k, h, a: 1 - b, b, inside };
}

/** The curve's point in a span. */
function pointOf({ values, curvatures }: ArchCurve, { k, h, a, b }: Span): Vec3 {
  const bend = add(
    scale(curvatures[k]!, ((a ** 3 - a) * h * h) / 6),
    scale(curvatures[k + 1]!, ((b ** 3 - b) * h * h) / 6),
  );
  return add(add(scale(values[k]!, a), scale(values[k + 1]!, b)), bend);
}

/** Unit tangent at the place of the curve nearest to p, towards the patient's left end, in the occlusal plane. */
export function archTangentAt(curve: ArchCurve, p: Vec3): Vec3 {
  const { z, x } = curve.frame;
  const slope = evaluate(curve, nearestParameter(curve, p)).slope;
  const tangent = normalize(perpendicularTo(slope, z));
  return dot(tangent, tangent) > 0 ? tangent : x;
}

function nearestParameter(curve: ArchCurve, p: Vec3): number {
  const end = curve.knots.at(-1) ?? 0;
  if (end === 0) return 0;
  const steps = SAMPLES_PER_SPAN * (curve.knots.length - 1);
  let best = 0;
  let least = Number.POSITIVE_INFINITY;
  for (let k = 0; k <= steps; k++) {
    const value = flatSquared(curve, (end * k) / steps, p);
    if (value >= least) continue;
    least = value;
    best = k;
  }
  let low = (end * Math.max(best - 1, 0)) / steps;
  let high = (end * Math.min(best + 1, steps)) / steps;
  for (let round = 0; round < 40; round++) {
    const third = (high - low) / 3;
    if (flatSquared(curve, low + third, p) < flatSquared(curve, high - third, p)) high -= third;
    else low += third;
  }
  return (low + high) / 2;
}

/** Squared distance of the curve's point at s from p, both seen from above. */
function flatSquared(curve: ArchCurve, s: number, p: Vec3): number {
  const d = perpendicularTo(sub(pointOf(curve, spanAt(curve, s)), p), curve.frame.z);
  return dot(d, d);
}

/** n points along the curve (n >= 2), evenly by chord length, from the right end to the left. */
export function sampleArchCurve(curve: ArchCurve, n: number): Vec3[] {
  const end = curve.knots.at(-1) ?? 0;
  return Array.from({ length: n }, (_, k) => evaluate(curve, n > 1 ? (end * k) / (n - 1) : 0).point);
}
