import { makePointGrid, type PointGrid } from '../geometry/point-grid.ts';
import type { TriangleMesh, Vec3 } from '../geometry/types.ts';
import { lerp, vertexAt } from '../geometry/vec3.ts';
import type { ArchSurface, ToothSurface } from './arch-surface.ts';
import type { ContactFrame } from './contact-frame.ts';
import type { Web } from './web-between.ts';

/** The bottom of the web lies within this of where the labels meet, mm. */
const BESIDE_MM = 0.4;
/** Fewer places than this show no line. */
const LEAST_PLACES = 9;

/**
 * The line along the bottom of a web, read from the surface: where it neither faces the one tooth nor the other. A ball
 * that rests on both walls leaves its lowest place midway between them, whereas the border of the labels may run up the
 * one wall or the other by a triangle or two. Found on edges near the border along which the cosine of the normal with
 * the closing direction falls through zero from A to B; a marginal ridge, where it rises, is none.
 *
 * @returns (n x 3) mm; the border's own ridge where too little of a bottom is seen
 */
export function webValley(
  { mesh, normals }: ArchSurface,
  a: ToothSurface,
  b: ToothSurface,
  { t }: ContactFrame,
  { ridge }: Web,
): Float64Array {
  const near = makePointGrid(ridge, BESIDE_MM);
  const box = boxAround(ridge, BESIDE_MM);
  const places: number[] = [];
  addTurns(mesh, normals, a.triangles, t, box, near, places);
  addTurns(mesh, normals, b.triangles, t, box, near, places);
  return places.length >= 3 * LEAST_PLACES ? Float64Array.from(places) : ridge;
}

/** Adds the places on edges of some triangles, near the border, where the cosine falls through zero from A to B. */
function addTurns(
  { positions, triangles }: TriangleMesh,
  normals: Float32Array,
  own: Uint32Array,
  t: Vec3,
  box: Float64Array,
  near: PointGrid,
  places: number[],
): void {
  const [tx, ty, tz] = t;
  for (let i = 0; i < own.length; i += 1) {
    for (let k = 0; k < 3; k += 1) {
      const v = 3 * triangles[3 * own[i]! + k]!;
      const w = 3 * triangles[3 * own[i]! + ((k + 1) % 3)]!;
      // Each edge once: its two triangles go along it in opposite ways.
      if (v > w || !isInBox(positions, v, box)) continue;
      const atV = normals[v]! * tx + normals[v + 1]! * ty + normals[v + 2]! * tz;
      const atW = normals[w]! * tx + normals[w + 1]! * ty + normals[w + 2]! * tz;
      if (atV * atW >= 0) continue;
      const alongV = positions[v]! * tx + positions[v + 1]! * ty + positions[v + 2]! * tz;
      const alongW = positions[w]! * tx + positions[w + 1]! * ty + positions[w + 2]! * tz;
      if ((atV - atW) * (alongW - alongV) <= 0) continue;
      const share = atV / (atV - atW);
      const place = lerp(vertexAt(positions, v / 3), vertexAt(positions, w / 3), share);
      if (near.isNear(...place)) places.push(place[0], place[1], place[2]);
    }
  }
}

/** Least (3) and greatest coordinates (3) of some points, farther out by a margin: a quick first answer. */
function boxAround(points: Float64Array, marginMm: number): Float64Array {
  const box = new Float64Array(6).fill(Number.POSITIVE_INFINITY, 0, 3).fill(Number.NEGATIVE_INFINITY, 3);
  for (let i = 0; i < points.length; i += 1) {
    const c = i % 3;
    box[c] = Math.min(box[c]!, points[i]! - marginMm);
    box[3 + c] = Math.max(box[3 + c]!, points[i]! + marginMm);
  }
  return box;
}

/** @param at - where the coordinates of a vertex begin */
function isInBox(positions: ArrayLike<number>, at: number, box: Float64Array): boolean {
  for (let c = 0; c < 3; c += 1) {
    const x = positions[at + c]!;
    if (x < box[c]! || x > box[3 + c]!) return false;
  }
  return true;
}
