import { micrometres, type Point2, StarOutline } from '../geometry/star-outline.ts';
import type { IndexedSurface } from '../geometry/surface-distance.ts';
import type { Vec3 } from '../geometry/types.ts';
import { cross, dot, sub, vertexAt } from '../geometry/vec3.ts';
import { facingOf } from '../geometry/winding-number.ts';
import type { ContactFrame } from './contact-frame.ts';
import { signedCorners } from './signed-corners.ts';

/**
 * One wall of a contact as seen along the closing direction: where it comes near its neighbour, and how near. Both walls
 * of a contact are drawn in the same axes, so that they can be laid over each other.
 */
export interface ContactMap {
  /** Outline of the crown, flat [u0, v0, ...], mm: u towards cheek or lip, v towards the crowns' tops; null when unknown. */
  readonly outline: readonly number[] | null;
  readonly bands: readonly MapBand[];
  /** The two closest points, or null. */
  readonly point: Point2 | null;
}

/** The part of a wall between two distances from its neighbour. */
interface MapBand {
  /** Least and greatest signed distance, mm; null = without an end. */
  readonly fromMm: number | null;
  readonly toMm: number;
  /** Pieces of triangles, flat [u0, v0, ...] each. */
  readonly pieces: readonly (readonly number[])[];
}

/** Ends of the bands, mm: overlap, the two levels of contact, and near. */
export const MAP_LEVELS_MM = [0, 0.02, 0.05, 0.2] as const;

/**
 * Draws the wall of a shell that faces its neighbour.
 * @param facing - 1: the shell is tooth A, whose wall looks along t; -1: tooth B
 * @param overlapping - as for `signedCorners`
 * @param origin - zero of u and v, scan frame
 * @param point - the place of the contact, if there is one
 */
export function contactMap(
  shell: IndexedSurface,
  other: IndexedSurface,
  { t, b, o }: ContactFrame,
  facing: 1 | -1,
  overlapping: boolean | 'sheet',
  origin: Vec3,
  point: Vec3 | null,
): ContactMap {
  const flat = (p: Vec3): Point2 => {
    const d = sub(p, origin);
    return [micrometres(dot(d, b)), micrometres(dot(d, o))];
  };
  const { values, isKnown } = signedCorners(shell, other, overlapping, MAP_LEVELS_MM.at(-1)!);
  // A shell turned inside out shows the same wall.
  const outwards = facing * facingOf(shell);
  const middle = flat(meanOf(shell.corners));
  const outline = new StarOutline(middle);
  const pieces: number[][][] = MAP_LEVELS_MM.map(() => []);
  for (let i = 0; i < isKnown.length; i += 1) {
    const corners = [0, 1, 2].map((k) => vertexAt(shell.corners, 3 * i + k)) as [Vec3, Vec3, Vec3];
    const [p, q, r] = corners.map(flat) as [Point2, Point2, Point2];
    outline.add(p, q, r);
    if (isKnown[i] === 0) continue;
    if (outwards * dot(cross(sub(corners[1], corners[0]), sub(corners[2], corners[0])), t) <= 0) continue;
    const at = [p, q, r].map((uv, k): Corner => [uv[0], uv[1], values[3 * i + k]!]);
    for (const [k, toMm] of MAP_LEVELS_MM.entries()) {
      const low = k === 0 ? at : clip(at, MAP_LEVELS_MM[k - 1]!, 1);
      const piece = clip(low, toMm, -1);
      if (piece.length > 2) pieces[k]!.push(piece.flatMap(([u, v]) => [micrometres(u), micrometres(v)]));
    }
  }
  return {
    outline: outline.polygon(),
    bands: MAP_LEVELS_MM.map((toMm, k) => ({
      fromMm: MAP_LEVELS_MM[k - 1] ?? null,
      toMm,
      pieces: pieces[k]!,
    })),
    point: point && flat(point),
  };
}

type Corner = readonly [u: number, v: number, distance: number];

/** The part of a convex piece where the distance, linear over it, is above (`side` 1) or below (-1) a level. */
function clip(piece: readonly Corner[], level: number, side: 1 | -1): Corner[] {
  const kept: Corner[] = [];
  for (const [i, a] of piece.entries()) {
    const b = piece[(i + 1) % piece.length]!;
    const [da, db] = [side * (a[2] - level), side * (b[2] - level)];
    if (da >= 0) kept.push(a);
    if (da >= 0 === db >= 0) continue;
    const share = da / (da - db);
    kept.push([a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]), level]);
  }
  return kept;
}

/** Mean of the corners. */
function meanOf(corners: Float64Array): Vec3 {
  const sum: [number, number, number] = [0, 0, 0];
  for (let i = 0; i < corners.length; i += 1) sum[i % 3]! += corners[i]!;
  const count = corners.length / 3;
  return [sum[0] / count, sum[1] / count, sum[2] / count];
}
