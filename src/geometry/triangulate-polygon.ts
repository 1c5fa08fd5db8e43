/** Room for one polygon's work, reused from polygon to polygon. */
export interface PolygonScratch {
  /** 2D corners in the polygon's plane. */
  readonly x: Float64Array;
  readonly y: Float64Array;
  /** Corners not yet cut off. */
  readonly ring: Int32Array;
  /** Twice-areas within this of zero count as zero; set for each polygon from its size. */
  flat: number;
}

/** A turn smaller than this share of the polygon's squared extent is rounding, not shape. */
const FLAT_SHARE = 1e-12;
/** Up to this many corners the best shaped ear is looked for; beyond, the next one does, to stay quadratic. */
const MOST_CORNERS_FOR_BEST = 16;

export function makePolygonScratch(mostCorners: number): PolygonScratch {
  return {
    x: new Float64Array(mostCorners),
    y: new Float64Array(mostCorners),
    ring: new Int32Array(mostCorners),
    flat: 0,
  };
}

/**
 * Newell's normal of the closed polygon (sum over its edges; Sutherland, Sproull, Schumacker 1974 give the method
 * to M. Newell), and from it a projection that keeps the way round. Returns false when the polygon has no area.
 */
function project(points: ArrayLike<number>, count: number, scratch: PolygonScratch): boolean {
  let nx = 0;
  let ny = 0;
  let nz = 0;
  for (let i = 0, j = count - 1; i < count; j = i++) {
    const px = points[3 * j]! - points[0]!;
    const py = points[3 * j + 1]! - points[1]!;
    const pz = points[3 * j + 2]! - points[2]!;
    const qx = points[3 * i]! - points[0]!;
    const qy = points[3 * i + 1]! - points[1]!;
    const qz = points[3 * i + 2]! - points[2]!;
    nx += (py - qy) * (pz + qz);
    ny += (pz - qz) * (px + qx);
    nz += (px - qx) * (py + qy);
  }
  const length = Math.hypot(nx, ny, nz);
  if (!(length > 0)) return false;
  nx /= length;
  ny /= length;
  nz /= length;
  // u lies across the normal, no matter which way; v = n x u, so that (u, v, n) is right-handed.
  const ax = Math.abs(nx);
  const ay = Math.abs(ny);
  const az = Math.abs(nz);
  let ux = 0;
  let uy = 0;
  let uz = 0;
  if (ax <= ay && ax <= az) {
    uy = -nz;
    uz = ny;
  } else if (ay <= az) {
    ux = nz;
    uz = -nx;
  } else {
    ux = -ny;
    uy = nx;
  }
  const uLength = Math.hypot(ux, uy, uz);
  ux /= uLength;
  uy /= uLength;
  uz /= uLength;
  const vx = ny * uz - nz * uy;
  const vy = nz * ux - nx * uz;
  const vz = nx * uy - ny * ux;
  let extent = 0;
  for (let i = 0; i < count; i++) {
    const x = points[3 * i]! - points[0]!;
    const y = points[3 * i + 1]! - points[1]!;
    const z = points[3 * i + 2]! - points[2]!;
    extent = Math.max(extent, Math.abs(x), Math.abs(y), Math.abs(z));
    scratch.x[i] = ux * x + uy * y + uz * z;
    scratch.y[i] = vx * x + vy * y + vz * z;
  }
  scratch.flat = FLAT_SHARE * extent * extent;
  return true;
}

/** Twice the signed area of corners a, b, c; positive when they turn left. */
function turn({ x, y }: PolygonScratch, a: number, b: number, c: number): number {
  return (x[b]! - x[a]!) * (y[c]! - y[a]!) - (x[c]! - x[a]!) * (y[b]! - y[a]!);
}

/**
 * Whether corner p lies in or on the left-turning triangle a, b, c; a corner at the very place of one of the three
 * does not count.
 */
function holds(scratch: PolygonScratch, a: number, b: number, c: number, p: number): boolean {
  const { x, y } = scratch;
  if ((x[p] === x[a] && y[p] === y[a]) || (x[p] === x[b] && y[p] === y[b])) return false;
  if (x[p] === x[c] && y[p] === y[c]) return false;
  return turn(scratch, a, b, p) >= 0 && turn(scratch, b, c, p) >= 0 && turn(scratch, c, a, p) >= 0;
}

/** Shape of a triangle for choosing among ears: twice the area over the square of its longest side. */
function roundness(scratch: PolygonScratch, a: number, b: number, c: number): number {
  const { x, y } = scratch;
  const side = (p: number, q: number) => (x[p]! - x[q]!) ** 2 + (y[p]! - y[q]!) ** 2;
  const longest = Math.max(side(a, b), side(b, c), side(c, a));
  return longest > 0 ? turn(scratch, a, b, c) / longest : 0;
}

/**
 * Cuts a simple, possibly concave polygon into count - 2 triangles that run the same way round, by clipping ears
 * (Meisters, Polygons have ears, 1975) in the plane across its Newell normal; of several ears the best shaped goes
 * first, which for a convex quad is the shorter-diagonal choice. The polygon need not be exactly flat.
 *
 * @param points - (count x 3) corners in order
 * @param out - receives 3 * (count - 2) corner numbers, 0 to count - 1
 * @returns false when the polygon has no area or crosses itself: the triangles then cover it only by guess
 */
export function triangulatePolygon(
  points: ArrayLike<number>,
  count: number,
  scratch: PolygonScratch,
  out: Uint32Array | Int32Array,
): boolean {
  let sound = project(points, count, scratch);
  const { ring, flat } = scratch;
  for (let i = 0; i < count; i++) ring[i] = i;
  let left = count;
  let written = 0;
  let from = 0;
  while (left > 3) {
    let ear = sound ? findEar(scratch, left, from, count <= MOST_CORNERS_FOR_BEST) : 1;
    if (ear === -1) {
      sound = false;
      ear = 1;
    }
    out[written++] = ring[(ear + left - 1) % left]!;
    out[written++] = ring[ear]!;
    out[written++] = ring[(ear + 1) % left]!;
    ring.copyWithin(ear, ear + 1, left);
    left--;
    // Going on behind the ear just cut keeps a large polygon from becoming a fan of needles.
    from = (ear + 1) % left;
  }
  for (let i = 0; i < 3; i++) out[written++] = ring[i]!;
  return sound && turn(scratch, ring[0]!, ring[1]!, ring[2]!) >= -flat;
}

/**
 * Place in the ring of the best shaped ear, or of the first one at or behind `from`; -1 when there is none.
 * Corners on a straight line are ears of last resort.
 */
function findEar(scratch: PolygonScratch, left: number, from: number, wantBest: boolean): number {
  const { ring, flat } = scratch;
  let best = -1;
  let bestShape = Number.NEGATIVE_INFINITY;
  for (let k = 0; k < left; k++) {
    const i = (from + k) % left;
    const a = ring[(i + left - 1) % left]!;
    const b = ring[i]!;
    const c = ring[(i + 1) % left]!;
    const area = turn(scratch, a, b, c);
    if (area < -flat) continue;
    const shape = roundness(scratch, a, b, c);
    if (shape <= bestShape || !isEar(scratch, left, a, b, c)) continue;
    best = i;
    bestShape = shape;
    if (!wantBest && area > flat) break;
  }
  return best;
}

function isEar(scratch: PolygonScratch, left: number, a: number, b: number, c: number): boolean {
  const { ring } = scratch;
  for (let j = 0; j < left; j++) {
    const p = ring[j]!;
    if (p !== a && p !== b && p !== c && holds(scratch, a, b, c, p)) return false;
  }
  return true;
}
