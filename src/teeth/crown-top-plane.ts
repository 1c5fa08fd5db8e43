import { Matrix, solve } from 'ml-matrix';
import { letGo } from '../geometry/let-go.ts';
import { median } from '../geometry/median.ts';
import type { TriangleMesh, Vec3 } from '../geometry/types.ts';
import { add, addScaled, cross, dot, length, normalize, scale, sub } from '../geometry/vec3.ts';
import { toothSortIndex } from './notation.ts';
import { frameAround, type PlacedTooth } from './occlusal-frame.ts';
import type { FrameBasis, Jaw, OcclusalFrame, ToothMap, ToothNumber } from './types.ts';

/**
 * A crown's top is the middle of its highest surface of this area, mm^2: an area, not a share, so that a whole shell
 * and the part of it that a scan shows have the same top, and a single stray vertex has no say.
 */
const TOP_AREA_MM2 = 0.5;
/** Surface this near to the highest triangle is sorted by height, mm; more where that is too little. */
const TOP_REACHES_MM = [0.1, 0.4, 2, Number.POSITIVE_INFINITY] as const;
/** A plane needs this many tops and this much spread (rms, mm) across the row; fewer leave the axis as it was. */
const LEAST_TOPS = 5;
const LEAST_SPREAD_MM = 2;
/** Tops this far off the plane have half a say at most, mm: a worn, sunk or half-grown tooth does not tilt it. */
const OFF_PLANE_MM = 0.5;
const FIT_ROUNDS = 25;
/** The tops depend on the axis and the axis on the tops: so many rounds, fewer once it turns by less than this. */
const AXIS_ROUNDS = 8;
const STILL_RAD = 1e-4;
/** A plane this far from the axis it began with is not a plane of crown tops. */
const MOST_TURN_RAD = Math.PI / 6;

/** A frame and what its plane rests on. */
export interface CrownTopFrame {
  readonly frame: OcclusalFrame;
  readonly basis: FrameBasis;
  /** Area-weighted centres of the labelled crowns, in arch order, mm. */
  readonly centres: readonly PlacedTooth[];
}

/**
 * The occlusal frame of labelled crowns: its xy plane is the robust plane of the crowns' tops, its origin lies on that
 * plane under the middle of the crowns, x and y are turned by the numbers (`frameAround`). The plane is a weighted
 * least-squares fit of the tops' heights, the weights by Cauchy's function of the distance (Holland and Welsch 1977,
 * Commun. Stat. A6:813), repeated with the tops along the new axis.
 *
 * With too few teeth, teeth in a straight line, or a plane too far from the axis of `before`, that axis stays and only
 * the origin moves, to the median of the tops: basis `surface`.
 *
 * @param before - frame from clicks and surface: its z says where the tops are
 * @returns null when no triangle is labelled as a tooth
 */
export function crownTopPlane(
  mesh: TriangleMesh,
  labels: ToothMap,
  before: OcclusalFrame,
  jaw: Jaw,
): CrownTopFrame | null {
  const crowns = collectCrowns(mesh, labels);
  if (crowns.length === 0) return null;
  const centres = crowns.map(({ tooth, centre }): PlacedTooth => ({ tooth, point: centre }));
  const middle = scale(
    centres.reduce<Vec3>((sum, { point }) => add(sum, point), [0, 0, 0]),
    1 / centres.length,
  );
  let z = before.z;
  let plane: FittedPlane | null = null;
  for (let round = 0; round < AXIS_ROUNDS; round++) {
    const fitted = fitPlane(
      crowns.map((crown) => topOf(crown, z)),
      z,
      middle,
    );
    if (!fitted || angleBetween(fitted.normal, before.z) > MOST_TURN_RAD) {
      plane = null;
      break;
    }
    const turn = angleBetween(fitted.normal, z);
    plane = fitted;
    z = fitted.normal;
    if (turn < STILL_RAD) break;
  }
  if (!plane) z = before.z;
  const turned = frameAround(z, centres, jaw, before.origin);
  const height = plane
    ? plane.height
    : median(Float64Array.from(crowns, (crown) => dot(sub(topOf(crown, z), middle), z)));
  for (const { areas, middles } of crowns) letGo(areas, middles);
  // A single tooth shows no direction in the plane: those of the frame before are kept.
  const { x, y } = centres.length > 1 ? turned : before;
  return {
    frame: { origin: addScaled(middle, z, height), x, y, z },
    basis: plane ? 'crown-tops' : 'surface',
    centres,
  };
}

interface LabelledCrown {
  readonly tooth: ToothNumber;
  /** Area of each triangle, mm^2. */
  readonly areas: Float64Array;
  /** (k x 3) middles of the triangles, mm. */
  readonly middles: Float64Array;
  readonly centre: Vec3;
}

function collectCrowns({ positions: p, triangles }: TriangleMesh, labels: ToothMap): LabelledCrown[] {
  const counts = new Uint32Array(256);
  for (let f = 0; f < labels.length; f++) counts[labels[f]!] = counts[labels[f]!]! + 1;
  const room = Array.from(counts, (count, tooth) => (tooth === 0 ? 0 : count));
  const areas = room.map((count) => new Float64Array(count));
  const middles = room.map((count) => new Float64Array(3 * count));
  placeTriangles(p, triangles, labels, areas, middles);
  const crowns: LabelledCrown[] = [];
  for (let tooth = 1; tooth < 256; tooth++) {
    const centre = centreOf(areas[tooth]!, middles[tooth]!);
    if (centre) crowns.push({ tooth, areas: areas[tooth]!, middles: middles[tooth]!, centre });
  }
  return crowns.sort((a, b) => toothSortIndex(a.tooth) - toothSortIndex(b.tooth));
}

/** Fills in area and middle of every triangle, by tooth. */
function placeTriangles(
  p: TriangleMesh['positions'],
  triangles: Uint32Array,
  labels: ToothMap,
  areas: readonly Float64Array[],
  middles: readonly Float64Array[],
): void {
  const fill = new Uint32Array(256);
  for (let f = 0; f < labels.length; f++) {
    const tooth = labels[f]!;
    if (tooth === 0) continue;
    const k = fill[tooth]!;
    fill[tooth] = k + 1;
    const a = 3 * triangles[3 * f]!;
    const b = 3 * triangles[3 * f + 1]!;
    const c = 3 * triangles[3 * f + 2]!;
    const ux = p[b]! - p[a]!;
    const uy = p[b + 1]! - p[a + 1]!;
    const uz = p[b + 2]! - p[a + 2]!;
    const vx = p[c]! - p[a]!;
    const vy = p[c + 1]! - p[a + 1]!;
    const vz = p[c + 2]! - p[a + 2]!;
    const nx = uy * vz - uz * vy;
    const ny = uz * vx - ux * vz;
    const nz = ux * vy - uy * vx;
    areas[tooth]![k] = Math.sqrt(nx * nx + ny * ny + nz * nz) / 2;
    const middle = middles[tooth]!;
    middle[3 * k] = (p[a]! + p[b]! + p[c]!) / 3;
    middle[3 * k + 1] = (p[a + 1]! + p[b + 1]! + p[c + 1]!) / 3;
    middle[3 * k + 2] = (p[a + 2]! + p[b + 2]! + p[c + 2]!) / 3;
  }
}

/** Area-weighted mean place; null without area. */
function centreOf(areas: Float64Array, middles: Float64Array): Vec3 | null {
  let [area, x, y, z] = [0, 0, 0, 0];
  for (let k = 0; k < areas.length; k++) {
    const own = areas[k]!;
    area += own;
    x += own * middles[3 * k]!;
    y += own * middles[3 * k + 1]!;
    z += own * middles[3 * k + 2]!;
  }
  return area > 0 ? [x / area, y / area, z / area] : null;
}

/** Middle of the highest {@link TOP_AREA_MM2} of a crown along z. */
function topOf({ areas, middles }: LabelledCrown, [zx, zy, zz]: Vec3): Vec3 {
  const count = areas.length;
  const heights = new Float64Array(count);
  let highest = Number.NEGATIVE_INFINITY;
  for (let k = 0; k < count; k++) {
    const height = zx * middles[3 * k]! + zy * middles[3 * k + 1]! + zz * middles[3 * k + 2]!;
    heights[k] = height;
    if (height > highest) highest = height;
  }
  const upper = highestOf(areas, heights, highest);
  letGo(heights);
  let area = 0;
  let moment: Vec3 = [0, 0, 0];
  for (const k of upper) {
    // The last triangle counts as far as it is needed, so that the size of triangles does not matter.
    const share = Math.min(areas[k]!, TOP_AREA_MM2 - area);
    moment = addScaled(moment, [middles[3 * k]!, middles[3 * k + 1]!, middles[3 * k + 2]!], share);
    area += share;
    if (area >= TOP_AREA_MM2) break;
  }
  return scale(moment, 1 / area);
}

/** Triangles of at least {@link TOP_AREA_MM2} (or all), highest first; only few of a fine crown have to be sorted. */
function highestOf(areas: Float64Array, heights: Float64Array, highest: number): number[] {
  for (const reach of TOP_REACHES_MM) {
    const near: number[] = [];
    let area = 0;
    for (let k = 0; k < heights.length; k++) {
      if (heights[k]! <= highest - reach) continue;
      near.push(k);
      area += areas[k]!;
    }
    if (area >= TOP_AREA_MM2 || reach === Number.POSITIVE_INFINITY)
      return near.sort((a, b) => heights[b]! - heights[a]!);
  }
  return [];
}

interface FittedPlane {
  readonly normal: Vec3;
  /** Height of the plane along its normal at the middle, mm. */
  readonly height: number;
}

/** Height over the plane across z as a linear function, robustly; null when the tops do not span a plane. */
function fitPlane(tops: readonly Vec3[], z: Vec3, middle: Vec3): FittedPlane | null {
  if (tops.length < LEAST_TOPS) return null;
  const [e1, e2] = acrossOf(z);
  const rows = tops.map((top) => {
    const d = sub(top, middle);
    return [dot(d, e1), dot(d, e2), dot(d, z)] as const;
  });
  if (leastSpread(rows) < LEAST_SPREAD_MM) return null;
  let weights = rows.map(() => 1);
  let [a, b, c] = [0, 0, 0];
  for (let round = 0; round < FIT_ROUNDS; round++) {
    [a, b, c] = leastSquares(rows, weights);
    weights = rows.map(([u, v, w]) => 1 / (1 + ((w - a * u - b * v - c) / OFF_PLANE_MM) ** 2));
  }
  const normal = normalize(addScaled(addScaled(z, e1, -a), e2, -b));
  return { normal, height: c * dot(z, normal) };
}

/** Solves the weighted normal equations of w = a u + b v + c. */
function leastSquares(
  rows: readonly (readonly [number, number, number])[],
  weights: readonly number[],
): [number, number, number] {
  const normal = Matrix.zeros(3, 3);
  const right = Matrix.zeros(3, 1);
  for (const [k, [u, v, w]] of rows.entries()) {
    const row = [u, v, 1];
    for (let i = 0; i < 3; i++) {
      for (let j = 0; j < 3; j++) {
        normal.set(i, j, normal.get(i, j) + weights[k]! * row[i]! * row[j]!);
      }
      right.set(i, 0, right.get(i, 0) + weights[k]! * row[i]! * w);
    }
  }
  const answer = solve(normal, right);
  return [answer.get(0, 0), answer.get(1, 0), answer.get(2, 0)];
}

/** Root mean square of the places across the direction in which they spread most, mm. */
function leastSpread(rows: readonly (readonly [number, number, number])[]): number {
  const n = rows.length;
  const mu = rows.reduce((sum, [u]) => sum + u, 0) / n;
  const mv = rows.reduce((sum, [, v]) => sum + v, 0) / n;
  let [uu, uv, vv] = [0, 0, 0];
  for (const [u, v] of rows) {
    uu += ((u - mu) * (u - mu)) / n;
    uv += ((u - mu) * (v - mv)) / n;
    vv += ((v - mv) * (v - mv)) / n;
  }
  const smaller = (uu + vv) / 2 - Math.hypot((uu - vv) / 2, uv);
  return Math.sqrt(Math.max(0, smaller));
}

/** Two directions across z, in any turn. */
function acrossOf(z: Vec3): [Vec3, Vec3] {
  const helper: Vec3 = Math.abs(z[2]) < Math.SQRT1_2 ? [0, 0, 1] : [0, 1, 0];
  const e1 = normalize(cross(helper, z));
  return [e1, cross(z, e1)];
}

function angleBetween(a: Vec3, b: Vec3): number {
  return Math.atan2(length(cross(a, b)), dot(a, b));
}
