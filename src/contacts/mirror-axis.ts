import { choleskyFactor, choleskySolve } from '../geometry/cholesky.ts';
import { median } from '../geometry/median.ts';
import { MAD_TO_SIGMA, TUKEY_CUT } from '../geometry/robust-scale.ts';
import { closestPoint, type IndexedSurface } from '../geometry/surface-distance.ts';
import type { TriangleMesh, Vec3 } from '../geometry/types.ts';
import {
  add,
  addScaled,
  cross,
  distance,
  dot,
  normalize,
  perpendicularTo,
  scale,
  sub,
  vertexAt,
} from '../geometry/vec3.ts';

/** A crown's surface as the mirror search needs it. */
export interface MirroredSurface {
  readonly mesh: TriangleMesh;
  /** (n x 3) unit vertex normals of the mesh. */
  readonly normals: ArrayLike<number>;
  /** Tree over the triangles of the crown. */
  readonly surface: IndexedSurface;
}

/** This many points, spread evenly over the crown, tell its plane of symmetry to a few tenths of a degree. */
const MOST_POINTS = 150;
const LEAST_POINTS = 60;
/** Mirrored points farther from the crown than this have no counterpart, mm. */
const REACH_MM = 1.2;
const MOST_ROUNDS = 15;
/** Changes below this (rad, mm) end the search. */
const SETTLED = 1e-3;
/** The plane is looked for within this of the arch's direction, rad (20 degrees). */
const MOST_TURN_RAD = 0.35;
/** Standard deviation of crowns about the arch's direction, as far as it holds the search, rad. */
const USUAL_TURN_RAD = 0.2;
/** Halves of real crowns differ by this much anyway: the robust weights do not fall for less, mm. */
const LEAST_SPREAD_MM = 0.05;

/**
 * Normal of the plane that mirrors a crown best onto itself: its mesiodistal axis, as the mesial and the distal half of
 * a crown are alike. Points are mirrored at the plane and the plane moved until they lie on the crown again (iterated
 * closest points, point to plane: Chen and Medioni 1992), with Tukey's weights, as the halves are not quite alike and
 * webs hide one of them here and there.
 *
 * @param points - of the crown's visible walls and top, away from gum and webs
 * @param along - arch direction at the tooth, where the search begins; unit
 * @param up - occlusal axis, perpendicular to `along`
 * @returns unit vector within 90 degrees of `along`; null when too little is seen or no plane within 20 degrees is found
 */
export function mirrorAxis(
  crown: MirroredSurface,
  points: readonly Vec3[],
  along: Vec3,
  up: Vec3,
): Vec3 | null {
  const step = Math.max(1, Math.floor(points.length / MOST_POINTS));
  const used = points.filter((_, i) => i % step === 0);
  if (used.length < LEAST_POINTS) return null;
  const middle = scale(used.reduce<Vec3>(add, [0, 0, 0]), 1 / used.length);
  const counterparts = used.map(
    (p): Counterpart => ({ offset: sub(p, middle), mirrored: null, distanceMm: 0 }),
  );
  const turned: [number, number] = [0, 0];
  let axis = along;
  let placeMm = 0;
  for (let round = 0; round < MOST_ROUNDS; round += 1) {
    const upright = normalize(perpendicularTo(up, axis));
    const across = cross(upright, axis);
    const rows = counterparts.flatMap(
      (q) => mirrorRow(crown, q, middle, { axis, across, upright, placeMm }) ?? [],
    );
    const change = robustStep(Float64Array.from(rows), turned);
    if (change === null) return null;
    for (let k = 0; k < 2; k += 1) turned[k]! += change[k]!;
    axis = normalize(addScaled(addScaled(axis, across, change[0]!), upright, change[1]!));
    placeMm += change[2]!;
    if (dot(axis, along) < Math.cos(MOST_TURN_RAD)) return null;
    if (Math.hypot(...change) < SETTLED) return axis;
  }
  return axis;
}

interface Plane {
  readonly axis: Vec3;
  readonly across: Vec3;
  readonly upright: Vec3;
  /** Distance of the plane from the points' middle along the axis, mm. */
  readonly placeMm: number;
}

/** A point of the crown, and where the last round mirrored it to and found the crown from there. */
interface Counterpart {
  /** From the points' middle, mm. */
  readonly offset: Vec3;
  mirrored: Vec3 | null;
  distanceMm: number;
}

/** Room for rounding in a bound that follows from the round before, mm. */
const BOUND_SLACK_MM = 1e-9;

/** Derivatives of the distance of one mirrored point from the crown by the plane's two angles and place, and itself. */
function mirrorRow(
  crown: MirroredSurface,
  counterpart: Counterpart,
  middle: Vec3,
  plane: Plane,
): number[] | null {
  const { axis, across, upright, placeMm } = plane;
  const { offset: q, mirrored: before } = counterpart;
  const height = dot(axis, q) - placeMm;
  const mirrored = add(addScaled(q, axis, -2 * height), middle);
  // The crown is no farther than it was plus the way the point went since.
  const boundMm = before === null ? REACH_MM : counterpart.distanceMm + distance(before, mirrored);
  const near = closestPoint(crown.surface, mirrored, Math.min(REACH_MM, boundMm + BOUND_SLACK_MM));
  counterpart.mirrored = near === null ? null : mirrored;
  if (near === null) return null;
  counterpart.distanceMm = near.distanceMm;
  const { triangles } = crown.mesh;
  const corners = [0, 1, 2].map((k) => vertexAt(crown.normals, triangles[3 * near.triangle + k]!));
  const normal = normalize(corners.reduce<Vec3>(add, [0, 0, 0]));
  const along = dot(normal, axis);
  return [
    -2 * (dot(across, q) * along + height * dot(normal, across)),
    -2 * (dot(upright, q) * along + height * dot(normal, upright)),
    2 * along,
    dot(normal, sub(mirrored, near.point)),
  ];
}

/**
 * Weighted Gauss-Newton step of rows of four (three derivatives, residual); null when they do not determine it.
 * @param turned - how far the two angles have gone already, rad: a round crown, alike on any plane, is held to the arch
 */
function robustStep(rows: Float64Array, turned: readonly number[]): Float64Array | null {
  const count = rows.length / 4;
  if (count < LEAST_POINTS) return null;
  const sizes = Float64Array.from({ length: count }, (_, i) => Math.abs(rows[4 * i + 3]!));
  const spread = Math.max(LEAST_SPREAD_MM, MAD_TO_SIGMA * median(sizes));
  const cut = TUKEY_CUT * spread;
  const G = new Float64Array(9);
  const g = new Float64Array(3);
  for (let i = 0; i < count; i += 1) {
    const u = rows[4 * i + 3]! / cut;
    if (Math.abs(u) >= 1) continue;
    const weight = (1 - u * u) ** 2;
    for (let r = 0; r < 3; r += 1) {
      g[r]! -= weight * rows[4 * i + r]! * rows[4 * i + 3]!;
      for (let c = 0; c < 3; c += 1) G[3 * r + c]! += weight * rows[4 * i + r]! * rows[4 * i + c]!;
    }
  }
  for (let k = 0; k < 2; k += 1) {
    const hold = (spread / USUAL_TURN_RAD) ** 2;
    G[4 * k]! += hold;
    g[k]! -= hold * turned[k]!;
  }
  if (!choleskyFactor(G, 3)) return null;
  choleskySolve(G, 3, g);
  return g;
}
