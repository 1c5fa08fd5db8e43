import type { TriangleMesh } from '../../src/geometry/types.ts';

/** Every triangle into four by the middles of its sides: the same surface with half the edge length. */
export function subdivide({ positions, triangles }: TriangleMesh): TriangleMesh {
  const vertexCount = positions.length / 3;
  // A closed surface has 1.5 sides to a triangle; an open one a few more.
  const points = new Float32Array(positions.length + 3 * triangles.length);
  points.set(positions);
  let next = vertexCount;
  const middles = new Map<number, number>();
  const middle = (a: number, b: number): number => {
    const key = Math.min(a, b) * vertexCount + Math.max(a, b);
    const known = middles.get(key);
    if (known !== undefined) return known;
    const v = next++;
    middles.set(key, v);
    for (let k = 0; k < 3; k++) points[3 * v + k] = (positions[3 * a + k]! + positions[3 * b + k]!) / 2;
    return v;
  };
  const finer = new Uint32Array(4 * triangles.length);
  for (let f = 0; f < triangles.length; f += 3) {
    const [a, b, c] = [triangles[f]!, triangles[f + 1]!, triangles[f + 2]!];
    const [ab, bc, ca] = [middle(a, b), middle(b, c), middle(c, a)];
    finer.set([a, ab, ca, ab, b, bc, ca, bc, c, ab, bc, ca], 4 * f);
  }
  return { positions: points.slice(0, 3 * next), triangles: finer };
}
