import type { TriangleMesh } from './types.ts';

/** The wanted triangles of a mesh, over the same positions. */
export function submesh(mesh: TriangleMesh, triangles: Uint32Array): TriangleMesh {
  const corners = new Uint32Array(3 * triangles.length);
  for (const [i, t] of triangles.entries()) {
    corners.set(mesh.triangles.subarray(3 * t, 3 * t + 3), 3 * i);
  }
  return { positions: mesh.positions, triangles: corners };
}

/** Numbers of the triangles of every label, ascending; one pass over all. */
export function trianglesByLabel(labels: Uint8Array): Map<number, Uint32Array> {
  const counts = new Uint32Array(256);
  for (const label of labels) counts[label]! += 1;
  const groups = new Map<number, Uint32Array>();
  const filled = new Uint32Array(256);
  for (const [t, label] of labels.entries()) {
    let group = groups.get(label);
    if (group === undefined) {
      group = new Uint32Array(counts[label]!);
      groups.set(label, group);
    }
    group[filled[label]!] = t;
    filled[label]! += 1;
  }
  return groups;
}
