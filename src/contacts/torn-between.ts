import { makePointGrid } from '../geometry/point-grid.ts';
import type { Vec3 } from '../geometry/types.ts';
import { distance, dot, lerp, sub, vertexAt } from '../geometry/vec3.ts';
import type { ToothSurface } from './arch-surface.ts';
import { LEAST_TORN_EDGES, TORN_COSINE, TORN_REACH_MM } from './tolerances.ts';

/**
 * Whether the scan is torn apart between two teeth: open edges of one lie against open edges of the other and run the
 * other way. What was a web, or both walls in touch, then looks like two walls with nothing between them, and their
 * lips would be measured as a space. Seams whose ends face each other were joined when the scan was read.
 */
export function tornBetween({ cutLine: a }: ToothSurface, { cutLine: b }: ToothSurface): boolean {
  return Math.max(edgesAgainst(a, b), edgesAgainst(b, a)) >= LEAST_TORN_EDGES;
}

/** @param cut, other - (2n x 3) both ends of every open edge, mm */
function edgesAgainst(cut: Float64Array, other: Float64Array): number {
  const edges = edgesOf(other);
  if (cut.length === 0 || edges.length === 0) return 0;
  const longest = edges.reduce((most, [p, q]) => Math.max(most, distance(p, q)), 0);
  const near = makePointGrid(other, TORN_REACH_MM + longest);
  return edgesOf(cut).filter((own) => {
    const middle = lerp(...own, 0.5);
    if (!near.isNear(...middle)) return false;
    return edges.some((edge) => runAgainst(own, edge) && distanceToEdge(middle, edge) < TORN_REACH_MM);
  }).length;
}

type Edge = readonly [from: Vec3, to: Vec3];

function edgesOf(cut: Float64Array): Edge[] {
  return Array.from({ length: cut.length / 6 }, (_, i) => [vertexAt(cut, 2 * i), vertexAt(cut, 2 * i + 1)]);
}

function runAgainst([a, b]: Edge, [c, d]: Edge): boolean {
  return dot(sub(b, a), sub(d, c)) <= TORN_COSINE * distance(a, b) * distance(c, d);
}

function distanceToEdge(p: Vec3, [a, b]: Edge): number {
  const along = dot(sub(p, a), sub(b, a)) / Math.max(distance(a, b) ** 2, Number.MIN_VALUE);
  return distance(p, lerp(a, b, Math.max(0, Math.min(1, along))));
}
