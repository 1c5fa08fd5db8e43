import { makePointGrid } from '../geometry/point-grid.ts';
import { dot, lerp, vertexAt } from '../geometry/vec3.ts';
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
  const inReach = boxTest(ridge, BESIDE_MM);
  const { positions, triangles } = mesh;
  const places: number[] = [];
  for (const { triangles: own } of [a, b]) {
    for (const triangle of own) {
      for (let k = 0; k < 3; k += 1) {
        const v = triangles[3 * triangle + k]!;
        const w = triangles[3 * triangle + ((k + 1) % 3)]!;
        // Each edge once: its two triangles go along it in opposite ways.
        if (v > w || !inReach(positions, v)) continue;
        const atV = dot(vertexAt(normals, v), t);
        const atW = dot(vertexAt(normals, w), t);
        if (atV * atW >= 0) continue;
        const p = vertexAt(positions, v);
        const q = vertexAt(positions, w);
        if ((atV - atW) * (dot(q, t) - dot(p, t)) <= 0) continue;
        const place = lerp(p, q, atV / (atV - atW));
        if (near.distanceTo(place) < BESIDE_MM) places.push(...place);
      }
    }
  }
  return places.length >= 3 * LEAST_PLACES ? Float64Array.from(places) : ridge;
}

/** Whether a vertex lies in the box around some points, made larger by a margin: a quick first answer. */
function boxTest(points: Float64Array, marginMm: number) {
  const low = [0, 1, 2].map(() => Number.POSITIVE_INFINITY);
  const high = [0, 1, 2].map(() => Number.NEGATIVE_INFINITY);
  for (let i = 0; i < points.length; i += 1) {
    low[i % 3] = Math.min(low[i % 3]!, points[i]! - marginMm);
    high[i % 3] = Math.max(high[i % 3]!, points[i]! + marginMm);
  }
  return (positions: ArrayLike<number>, v: number): boolean => {
    for (let c = 0; c < 3; c += 1) {
      const x = positions[3 * v + c]!;
      if (x < low[c]! || x > high[c]!) return false;
    }
    return true;
  };
}
