import { IndexList } from './index-list.ts';
import { letGo } from './let-go.ts';
import { sideLength } from './triangle-geometry.ts';
import type { TriangleMesh } from './types.ts';

/**
 * Which open edges are the scan's own rim and which border a hole in it: open edges that hang together over common
 * vertices make one line, and a line at least as long as asked is rim.
 *
 * @param adjacency - from `faceAdjacency`
 * @returns the triangle sides (3 x triangle + corner) on the rim, in rising order; not those of holes
 */
export function scanRim(mesh: TriangleMesh, adjacency: Int32Array, leastMm: number): Int32Array {
  const { triangles } = mesh;
  const parent = new Int32Array(mesh.positions.length / 3).fill(-1);
  const open = new IndexList();
  for (let h = 0; h < triangles.length; h++) {
    if (adjacency[h]! >= 0) continue;
    open.push(h);
    const a = rootOf(parent, triangles[h]!);
    const b = rootOf(parent, triangles[h % 3 === 2 ? h - 2 : h + 1]!);
    if (a !== b) parent[a] = b;
  }
  const lengthMm = new Float64Array(parent.length);
  for (let k = 0; k < open.length; k++) {
    const h = open.values[k]!;
    const root = rootOf(parent, triangles[h]!);
    lengthMm[root] = lengthMm[root]! + sideLength(mesh, h);
  }
  const rim = new IndexList();
  for (let k = 0; k < open.length; k++) {
    const h = open.values[k]!;
    if (lengthMm[rootOf(parent, triangles[h]!)]! >= leastMm) rim.push(h);
  }
  const sides = rim.toArray();
  letGo(parent, lengthMm);
  open.letGo();
  rim.letGo();
  return sides;
}

/** @param rim - from `scanRim` */
export function isRim(rim: Int32Array, side: number): boolean {
  let low = 0;
  let high = rim.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (rim[middle]! < side) low = middle + 1;
    else high = middle;
  }
  return rim[low] === side;
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
