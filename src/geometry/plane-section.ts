import type { TriangleMesh, Vec3 } from './types.ts';
import { lerp, vertexAt } from './vec3.ts';

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
  const cut: Cut = { mesh, crossings: [], byEdge: new Map() };
  const total = triangleSubset?.length ?? mesh.triangles.length / 3;
  const heights = new Float64Array(3);
  for (let i = 0; i < total; i += 1) {
    const t = triangleSubset === null ? i : triangleSubset[i]!;
    for (let k = 0; k < 3; k += 1) heights[k] = heightOf(mesh, mesh.triangles[3 * t + k]!, origin, normal);
    const above = (heights[0]! >= 0 ? 1 : 0) + (heights[1]! >= 0 ? 1 : 0) + (heights[2]! >= 0 ? 1 : 0);
    if (above === 0 || above === 3) continue;
    const ends: number[] = [];
    for (let k = 0; k < 3; k += 1) {
      const n = (k + 1) % 3;
      if (heights[k]! >= 0 !== heights[n]! >= 0) {
        ends.push(
          crossingOf(cut, mesh.triangles[3 * t + k]!, mesh.triangles[3 * t + n]!, heights[k]!, heights[n]!),
        );
      }
    }
    const [p, q] = ends;
    if (p !== undefined && q !== undefined) {
      cut.crossings[p]!.links.push(q);
      cut.crossings[q]!.links.push(p);
    }
  }
  return joinCrossings(cut.crossings);
}

/** What was found of a cut so far. */
interface Cut {
  readonly mesh: TriangleMesh;
  readonly crossings: Crossing[];
  /** Number of a crossing by its edge. */
  readonly byEdge: Map<number, number>;
}

/** Height of a vertex over the plane, in lengths of the normal. */
function heightOf({ positions }: TriangleMesh, v: number, origin: Vec3, normal: Vec3): number {
  return (
    (positions[3 * v]! - origin[0]) * normal[0] +
    (positions[3 * v + 1]! - origin[1]) * normal[1] +
    (positions[3 * v + 2]! - origin[2]) * normal[2]
  );
}

/** Number of the crossing of the edge between two vertices, with their heights; made where it is new. */
function crossingOf({ mesh, crossings, byEdge }: Cut, v: number, w: number, hv: number, hw: number): number {
  const vertexCount = mesh.positions.length / 3;
  const key = v < w ? v * vertexCount + w : w * vertexCount + v;
  const known = byEdge.get(key);
  if (known !== undefined) return known;
  const [a, b, ha, hb] = v < w ? [v, w, hv, hw] : [w, v, hw, hv];
  const point = lerp(vertexAt(mesh.positions, a), vertexAt(mesh.positions, b), ha / (ha - hb));
  crossings.push({ point, links: [] });
  byEdge.set(key, crossings.length - 1);
  return crossings.length - 1;
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
