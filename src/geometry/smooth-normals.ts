import type { TriangleMesh } from './types.ts';

/**
 * Averages vertex normals over the surface, one round: each vertex gets its own normal plus, from every triangle
 * around it, half the sum of the other two corners' normals (so each neighbour counts once inside, half at an open
 * border), renormalised. After n rounds the spread is about h sqrt(0.43 n) for edges of mean length h.
 *
 * A fine scan takes tens of rounds over millions of triangles: the loop is written out, each corner's normal is read
 * once, and two arrays can serve all rounds in turns, as fresh ones cost the system more than the sums.
 *
 * @param normals - (n x 3) unit normals; not modified
 * @param into - (n x 3) overwritten with the averaged unit normals; another array than `normals`
 */
export function smoothNormals({ triangles }: TriangleMesh, normals: Float32Array, into: Float32Array): void {
  into.set(normals);
  for (let t = 0; t < triangles.length; t += 3) {
    const a = 3 * triangles[t]!;
    const b = 3 * triangles[t + 1]!;
    const c = 3 * triangles[t + 2]!;
    const ax = 0.5 * normals[a]!;
    const ay = 0.5 * normals[a + 1]!;
    const az = 0.5 * normals[a + 2]!;
    const bx = 0.5 * normals[b]!;
    const by = 0.5 * normals[b + 1]!;
    const bz = 0.5 * normals[b + 2]!;
    const cx = 0.5 * normals[c]!;
    const cy = 0.5 * normals[c + 1]!;
    const cz = 0.5 * normals[c + 2]!;
    into[a] = into[a]! + bx + cx;
    into[a + 1] = into[a + 1]! + by + cy;
    into[a + 2] = into[a + 2]! + bz + cz;
    into[b] = into[b]! + ax + cx;
    into[b + 1] = into[b + 1]! + ay + cy;
    into[b + 2] = into[b + 2]! + az + cz;
    into[c] = into[c]! + ax + bx;
    into[c + 1] = into[c + 1]! + ay + by;
    into[c + 2] = into[c + 2]! + az + bz;
  }
  renormalise(into);
}

function renormalise(normals: Float32Array): void {
  for (let v = 0; v < normals.length; v += 3) {
    const x = normals[v]!;
    const y = normals[v + 1]!;
    const z = normals[v + 2]!;
    const length = Math.sqrt(x * x + y * y + z * z);
    const f = length > 0 ? 1 / length : 0;
    normals[v] = x * f;
    normals[v + 1] = y * f;
    normals[v + 2] = z * f;
  }
}
