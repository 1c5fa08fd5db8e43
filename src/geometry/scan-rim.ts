import { sideLength } from './graph-surface.ts';
import type { TriangleMesh } from './types.ts';

/**
 * Which open edges are the scan's own rim and which border a hole in it: open edges that hang together over common
 * vertices make one line, and a line at least as long as asked is rim.
 *
 * @param adjacency - from `faceAdjacency`
 * @returns (m x 3) per triangle side, 1 = rim; 0 on the edges of holes and on inner sides
 */
export function scanRim(mesh: TriangleMesh, adjacency: Int32Array, leastMm: number): Uint8Array {
  const { triangles } = mesh;
  const parent = new Int32Array(mesh.positions.length / 3).fill(-1);
  const open: number[] = [];
  for (let h = 0; h < triangles.length; h++) {
    if (adjacency[h]! >= 0) continue;
    open.push(h);
    const a = rootOf(parent, triangles[h]!);
    const b = rootOf(parent, triangles[h % 3 === 2 ? h - 2 : h + 1]!);
    if (a !== b) parent[a] = b;
  }
  const lengthMm = new Float64Array(parent.length);
  for (const h of open) {
    const root = rootOf(parent, triangles[h]!);
    lengthMm[root] = lengthMm[root]! + sideLength(mesh, h);
  }
  const rim = new Uint8Array(triangles.length);
  for (const h of open) if (lengthMm[rootOf(parent, triangles[h]!)]! >= leastMm) rim[h] = 1;
  return rim;
}

/** The vertex that stands for all that hang together with this one; shortens the way there. */
function rootOf(parent: Int32Array, vertex: number): number {
  let v = vertex;
  while (parent[v]! >= 0) {
    const above = parent[v]!;
    if (parent[above]! >= 0) parent[v] = parent[above]!;
    v = above;
  }
  return v;
}
