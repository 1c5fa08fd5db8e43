import { joinPoints } from '../geometry/join-points.ts';
import { makePointGrid, type PointGrid } from '../geometry/point-grid.ts';
import type { Vec3 } from '../geometry/types.ts';
import { distance, dot, lerp, normalize, vertexAt } from '../geometry/vec3.ts';
import type { ToothNumber } from '../teeth/types.ts';
import type { ArchSurface } from './arch-surface.ts';
import type { ContactFrame } from './contact-frame.ts';
import {
  FULL_BRIDGE_MM,
  LEAST_RIDGE_EDGES,
  PAPILLA_END_MM,
  PAPILLA_REACH_MM,
  PAPILLA_RISE_MM,
  RIDGE_COSINE,
  RIDGE_LINK_MM,
  STRAYED_MM,
} from './tolerances.ts';
import type { BridgeState } from './types.ts';

/** The web a scanner laid from one tooth to the next, as far as the labels show it. */
export interface Web {
  readonly state: BridgeState;
  /** (n x 3) middles of the ridge edges, mm; empty for `none`. */
  readonly ridge: Float64Array;
  /** (n x 3) middles of all edges the two labels share, whichever way they face, mm; empty for `none`. */
  readonly border: Float64Array;
  /** (n x 3) middles of edges where the labels seem to meet over the papilla: gum line, not web, mm. */
  readonly papilla: Float64Array;
  /** What the papilla's edges would be if they were a web after all; null when there are too few. */
  readonly doubtful: Web | null;
  /** Extent of the ridge along the occlusal axis, mm; null for `none`. */
  readonly heightMm: number | null;
  /** Extent across, buccal to lingual, mm; null for `none`. */
  readonly widthMm: number | null;
  /** Middle of the ridge, mm; null for `none`. */
  readonly middle: Vec3 | null;
}

const NO_WEB: Web = {
  state: 'none',
  ridge: new Float64Array(0),
  border: new Float64Array(0),
  papilla: new Float64Array(0),
  doubtful: null,
  heightMm: null,
  widthMm: null,
  middle: null,
};

/**
 * Looks for a web: edges where a triangle of A meets one of B. Only those count whose surface normal stands across
 * the closing direction, as on the ridge of a web; where one label spills over onto the other's wall it does not. A
 * piece of border that stays next to the gum line, or runs level from gum to gum, is taken for two labels that met
 * over the papilla; as a low web looks the same, it is handed on as doubtful.
 */
export function webBetween(
  arch: ArchSurface,
  toothA: ToothNumber,
  toothB: ToothNumber,
  frame: ContactFrame,
): Web {
  const own = arch.teeth.get(toothA);
  const other = arch.teeth.get(toothB);
  if (own === undefined || other === undefined) return NO_WEB;
  const ridge: number[] = [];
  const wall: number[] = [];
  const all: number[] = [];
  const { triangles } = arch.mesh;
  for (const h of commonEdges(arch, own.triangles, toothB)) {
    const v = triangles[h]!;
    const w = triangles[h % 3 === 2 ? h - 2 : h + 1]!;
    const nv = vertexAt(arch.normals, v);
    const nw = vertexAt(arch.normals, w);
    const normal = normalize([nv[0] + nw[0], nv[1] + nw[1], nv[2] + nw[2]]);
    const middle = lerp(vertexAt(arch.mesh.positions, v), vertexAt(arch.mesh.positions, w), 0.5);
    all.push(...middle);
    (Math.abs(dot(normal, frame.t)) < RIDGE_COSINE ? ridge : wall).push(...middle);
  }
  const gum = makePointGrid(joinPoints(own.gumLine, other.gumLine), PAPILLA_REACH_MM);
  const papilla: number[] = [];
  const web: number[] = [];
  for (const points of ridgePieces(ridge, wall)) {
    // Joined pieces are web where any of them is by itself: what joins them takes nothing from it.
    const parts = linkedPieces(points.flat()).map((part) => part.map((i) => points[i]!));
    const kept = [points, ...parts].every((piece) => overPapilla(piece, gum, frame)) ? papilla : web;
    for (const p of points) kept.push(...p);
  }
  const low = Float64Array.from(papilla);
  const border = Float64Array.from(all);
  const across = web.length >= 3 * LEAST_RIDGE_EDGES ? web : threadAt(web, all, gum);
  if (across.length >= 3 * LEAST_RIDGE_EDGES) {
    return { ...describeRidge(Float64Array.from(across), frame), border, papilla: low, doubtful: null };
  }
  if (low.length < 3 * LEAST_RIDGE_EDGES) return { ...NO_WEB, papilla: low };
  const doubtful = { ...describeRidge(low, frame), border, papilla: NO_WEB.papilla, doubtful: null };
  return { ...NO_WEB, papilla: low, doubtful };
}

/** Edges (3 x triangle + side) of some triangles that a triangle of another label shares. */
function commonEdges({ adjacency, labels }: ArchSurface, own: Uint32Array, other: ToothNumber): number[] {
  const edges: number[] = [];
  for (let i = 0; i < own.length; i += 1) {
    for (let h = 3 * own[i]!; h < 3 * own[i]! + 3; h += 1) {
      const n = adjacency[h]!;
      if (n >= 0 && labels[n] === other) edges.push(h);
    }
  }
  return edges;
}

/**
 * A thread of a few triangles from wall to wall has hardly a ridge: most of its border runs round its root, where one
 * label reaches onto the other's wall. What of the border hangs together with a stray ridge edge, clear of the gum.
 * @param stray - (n x 3) ridge edges that are no papilla, too few for a ridge
 * @param all - (n x 3) all edges the two labels share
 */
function threadAt(stray: readonly number[], all: readonly number[], gum: PointGrid): number[] {
  if (stray.length === 0) return [];
  const clear: number[] = [];
  for (let i = 0; i < all.length / 3; i += 1) {
    const p = vertexAt(all, i);
    if (!gum.isNear(...p)) clear.push(...p);
  }
  const starts = Array.from({ length: stray.length / 3 }, (_, i) => vertexAt(stray, i));
  return linkedPieces(clear)
    .map((piece) => piece.map((i) => vertexAt(clear, i)))
    .filter((piece) => piece.some((p) => starts.some((q) => distance(p, q) <= RIDGE_LINK_MM)))
    .flatMap((piece) => piece.flat());
}

/** Whether a piece of common border stays next to the gum line, or runs from gum to gum without rising. */
function overPapilla(piece: readonly Vec3[], gum: PointGrid, { o, b }: ContactFrame): boolean {
  let beside = true;
  let first = piece[0]!;
  let last = first;
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (const p of piece) {
    if (beside && !gum.isNear(...p)) beside = false;
    if (dot(p, b) < dot(first, b)) first = p;
    if (dot(p, b) >= dot(last, b)) last = p;
    low = Math.min(low, dot(p, o));
    high = Math.max(high, dot(p, o));
  }
  if (beside) return true;
  if (gum.distanceTo(first) > PAPILLA_END_MM || gum.distanceTo(last) > PAPILLA_END_MM) return false;
  return high - low <= PAPILLA_RISE_MM;
}

/**
 * The pieces of a ridge. A found border wanders from the ridge onto one of the walls and back: what such a short
 * stretch of wall joins is one piece, else the far part would be taken for the papilla's.
 *
 * @param ridge - (n x 3) middles of the border's edges that face as a ridge does, mm
 * @param wall - the same of its other edges
 */
function ridgePieces(ridge: readonly number[], wall: readonly number[]): Vec3[][] {
  const points = [...ridge];
  for (const piece of linkedPieces(wall)) {
    const stretch = pointsOfPiece(wall, piece, wall.length);
    if (liesWithin(stretch, STRAYED_MM)) for (const p of stretch) points.push(...p);
  }
  const pieces: Vec3[][] = [];
  for (const piece of linkedPieces(points)) {
    const ofRidge = pointsOfPiece(points, piece, ridge.length);
    if (ofRidge.length > 0) pieces.push(ofRidge);
  }
  return pieces;
}

/** The points of a piece whose coordinates stand before `end`. */
function pointsOfPiece(points: ArrayLike<number>, piece: readonly number[], end: number): Vec3[] {
  const found: Vec3[] = [];
  for (const i of piece) if (3 * i < end) found.push(vertexAt(points, i));
  return found;
}

/** Whether no two points lie farther apart than the distance. */
function liesWithin(points: readonly Vec3[], mm: number): boolean {
  for (const p of points) {
    for (const q of points) if (!(distance(p, q) <= mm)) return false;
  }
  return true;
}

/** Groups points that hang together by steps of at most the linking distance. */
function linkedPieces(points: ArrayLike<number>): number[][] {
  const left = new Uint32Array(points.length / 3);
  for (let i = 0; i < left.length; i += 1) left[i] = i;
  let count = left.length;
  const pieces: number[][] = [];
  while (count > 0) {
    const piece = [left[0]!];
    left.copyWithin(0, 1, count);
    count -= 1;
    for (const i of piece) count = takeLinked(points, i, left, count, piece);
    pieces.push(piece);
  }
  return pieces;
}

/** Moves the points beside point i from those left to its piece; returns how many are left, in the order they were. */
function takeLinked(
  points: ArrayLike<number>,
  i: number,
  left: Uint32Array,
  count: number,
  piece: number[],
): number {
  const x = points[3 * i]!;
  const y = points[3 * i + 1]!;
  const z = points[3 * i + 2]!;
  let kept = 0;
  for (let k = 0; k < count; k += 1) {
    const j = left[k]!;
    const dx = x - points[3 * j]!;
    const dy = y - points[3 * j + 1]!;
    const dz = z - points[3 * j + 2]!;
    if (Math.sqrt(dx * dx + dy * dy + dz * dz) > RIDGE_LINK_MM) left[kept++] = j;
    else piece.push(j);
  }
  return kept;
}

/** Least and greatest place of the points along an axis, mm. */
function rangeAlong(points: Float64Array, axis: Vec3): [number, number] {
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < points.length / 3; i += 1) {
    const x = dot(vertexAt(points, i), axis);
    low = Math.min(low, x);
    high = Math.max(high, x);
  }
  return [low, high];
}

/** Extent and state from the ridge's box in the (b, o) plane. */
function describeRidge(
  ridge: Float64Array,
  { t, o, b }: ContactFrame,
): Omit<Web, 'papilla' | 'doubtful' | 'border'> {
  const [bLow, bHigh] = rangeAlong(ridge, b);
  const [oLow, oHigh] = rangeAlong(ridge, o);
  let along = 0;
  for (let i = 0; i < ridge.length / 3; i += 1) along += dot(vertexAt(ridge, i), t);
  along /= ridge.length / 3;
  const across = (bLow + bHigh) / 2;
  const up = (oLow + oHigh) / 2;
  const widthMm = bHigh - bLow;
  const heightMm = oHigh - oLow;
  return {
    state: Math.max(widthMm, heightMm) >= FULL_BRIDGE_MM ? 'full' : 'partial',
    ridge,
    heightMm,
    widthMm,
    middle: [
      along * t[0] + across * b[0] + up * o[0],
      along * t[1] + across * b[1] + up * o[1],
      along * t[2] + across * b[2] + up * o[2],
    ],
  };
}
