import type { PointGrid } from '../geometry/point-grid.ts';

/**
 * Vertices of a crown that lie within reach of neither cloud: not beside the gum or the cut, and not beside a web.
 *
 * @param positions - (n x 3) mm
 * @param vertices - which of them, kept in their order
 */
export function clearVertices(
  positions: Float32Array,
  vertices: Uint32Array,
  gum: PointGrid,
  web: PointGrid,
): Uint32Array {
  const clear = new Uint32Array(vertices.length);
  let count = 0;
  for (let i = 0; i < vertices.length; i += 1) {
    const v = vertices[i]!;
    const x = positions[3 * v]!;
    const y = positions[3 * v + 1]!;
    const z = positions[3 * v + 2]!;
    if (!gum.isNear(x, y, z) && !web.isNear(x, y, z)) clear[count++] = v;
  }
  return clear.subarray(0, count);
}
