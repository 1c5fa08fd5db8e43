import type { TriangleMesh, Vec3 } from './types.ts';
import { dot, lerp, sub, vertexAt } from './vec3.ts';

/** One crossing of a mesh edge with the plane. */
interface Crossing {
  readonly point: Vec3;
  /** The (at most two) cut triangles' other crossings; more on non-manifold edges, which then stay unjoined. */
  readonly links: number[];
}

/**
 * Cuts some triangles of a mesh with a plane and joins the pieces to polylines.
 * Vertices exactly on the plane count as above it, so every cut triangle has exactly two crossings and lines close.
 * @param triangleSubset - triangle numbers; null for all
 * @param origin - a point of the plane, mm
 * @param normal - need not be unit
 * @returns polylines in the mesh's frame, mm; a closed one repeats its first point at the end
 */
export function cutMesh(
  mesh: TriangleMesh,
  triangleSubset: Uint32Array | null,
  origin: Vec3,
  normal: Vec3,
): Vec3[][] {
  const crossings: Crossing[] = [];
  const byEdge = new Map<number, number>();
  const vertexCount = mesh.positions.length / 3;
  const crossingOf = (v: number, w: number, hv: number, hw: number): number => {
    const key = v < w ? v * vertexCount + w : w * vertexCount + v;
    const known = byEdge.get(key);
    if (known !== undefined) return known;
    const [a, b, ha, hb] = v < w ? [v, w, hv, hw] : [w, v, hw, hv];
    const point = lerp(vertexAt(mesh.positions, a), vertexAt(mesh.positions, b), ha / (ha - hb));
    crossings.push({ point, links: [] });
    byEdge.set(key, crossings.length - 1);
    return crossings.length - 1;
  };
  const total = triangleSubset?.length ?? mesh.triangles.length / 3;
  for (let i = 0; i < total; i += 1) {
    const t = triangleSubset === null ? i : triangleSubset[i]!;
    const corners = [mesh.triangles[3 * t]!, mesh.triangles[3 * t + 1]!, mesh.triangles[3 * t + 2]!];
    const heights = corners.map((v) => dot(sub(vertexAt(mesh.positions, v), origin), normal));
    const ends: number[] = [];
    for (let k = 0; k < 3; k += 1) {
      const n = (k + 1) % 3;
      if (heights[k]! >= 0 !== heights[n]! >= 0) {
        ends.push(crossingOf(corners[k]!, corners[n]!, heights[k]!, heights[n]!));
      }
    }
    const [p, q] = ends;
    if (p !== undefined && q !== undefined) {
      crossings[p]!.links.push(q);
      crossings[q]!.links.push(p);
    }
  }
  return joinCrossings(crossings);
}

/** Follows links: first from the loose ends, then round the closed lines. */
function joinCrossings(crossings: readonly Crossing[]): Vec3[][] {
  const used = new Set<number>();
  const segment = (p: number, q: number) => (p < q ? p * crossings.length + q : q * crossings.length + p);
  const walk = (start: number): Vec3[] => {
    const line: Vec3[] = [crossings[start]!.point];
    let at = start;
    for (;;) {
      const next = crossings[at]!.links.find((n) => !used.has(segment(at, n)));
      if (next === undefined) return line;
      used.add(segment(at, next));
      line.push(crossings[next]!.point);
      at = next;
      if (crossings[at]!.links.length !== 2) return line;
    }
  };
  const lines: Vec3[][] = [];
  for (const loose of [true, false]) {
    for (let i = 0; i < crossings.length; i += 1) {
      if ((crossings[i]!.links.length !== 2) !== loose) continue;
      for (const n of crossings[i]!.links) {
        if (used.has(segment(i, n))) continue;
        const line = walk(i);
        if (line.length > 1) lines.push(line);
      }
    }
  }
  return lines;
}
