import type { TriangleMesh } from './types.ts';

/**
 * Averages vertex normals over the surface. One round gives each vertex its own normal plus, from every triangle
 * around it, half the sum of the other two corners' normals (so each neighbour counts once inside, half at an open
 * border), renormalised. After n rounds the spread is about h sqrt(0.43 n) for edges of mean length h.
 *
 * @param normals - (n x 3) unit normals; not modified
 * @returns (n x 3) unit normals
 */
export function smoothNormals(mesh: TriangleMesh, normals: Float32Array, rounds: number): Float32Array {
  const { triangles } = mesh;
  let current = normals;
  for (let round = 0; round < rounds; round++) {
    const sum = current.slice();
    for (let t = 0; t < triangles.length; t += 3) {
      const a = 3 * triangles[t]!;
      const b = 3 * triangles[t + 1]!;
      const c = 3 * triangles[t + 2]!;
      for (let k = 0; k < 3; k++) {
        const na = 0.5 * current[a + k]!;
        const nb = 0.5 * current[b + k]!;
        const nc = 0.5 * current[c + k]!;
        sum[a + k] = sum[a + k]! + nb + nc;
        sum[b + k] = sum[b + k]! + na + nc;
        sum[c + k] = sum[c + k]! + na + nb;
      }
    }
    for (let v = 0; v < sum.length; v += 3) {
      const x = sum[v]!;
      const y = sum[v + 1]!;
      const z = sum[v + 2]!;
      const length = Math.sqrt(x * x + y * y + z * z);
      const f = length > 0 ? 1 / length : 0;
      sum[v] = x * f;
      sum[v + 1] = y * f;
      sum[v + 2] = z * f;
    }
    current = sum;
  }
  return current;
}
