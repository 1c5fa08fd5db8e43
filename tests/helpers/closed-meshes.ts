import type { TriangleMesh, Vec3 } from '../../src/geometry/types.ts';
import { normalize, scale } from '../../src/geometry/vec3.ts';

/** Axis-parallel box, outward triangles. */
export function boxMesh(low: Vec3, high: Vec3): TriangleMesh {
  const positions: number[] = [];
  for (let i = 0; i < 8; i += 1) {
    positions.push(i & 1 ? high[0] : low[0], i & 2 ? high[1] : low[1], i & 4 ? high[2] : low[2]);
  }
  const faces = [
    [0, 4, 6, 2],
    [1, 3, 7, 5],
    [0, 1, 5, 4],
    [2, 6, 7, 3],
    [0, 2, 3, 1],
    [4, 5, 7, 6],
  ];
  const triangles = faces.flatMap(([a, b, c, d]) => [a!, b!, c!, a!, c!, d!]);
  return { positions: new Float32Array(positions), triangles: new Uint32Array(triangles) };
}

/** Icosahedron subdivided `levels` times, all vertices on the sphere. */
export function sphereMesh(radius: number, levels: number, centre: Vec3 = [0, 0, 0]): TriangleMesh {
  const g = (1 + Math.sqrt(5)) / 2;
  const points: Vec3[] = [];
  for (const s of [-1, 1]) {
    for (const t of [-g, g]) points.push([0, s, t], [s, t, 0], [t, 0, s]);
  }
  const unit = points.map(normalize);
  const side = 2 / Math.sqrt(1 + g * g);
  let triangles: [number, number, number][] = [];
  for (let i = 0; i < 12; i += 1) {
    for (let j = i + 1; j < 12; j += 1) {
      for (let k = j + 1; k < 12; k += 1) {
        const near = (a: number, b: number) =>
          Math.hypot(unit[a]![0] - unit[b]![0], unit[a]![1] - unit[b]![1], unit[a]![2] - unit[b]![2]) <
          1.01 * side;
        if (!near(i, j) || !near(j, k) || !near(i, k)) continue;
        const [a, b, c] = [unit[i]!, unit[j]!, unit[k]!];
        const det =
          a[0] * (b[1] * c[2] - b[2] * c[1]) +
          a[1] * (b[2] * c[0] - b[0] * c[2]) +
          a[2] * (b[0] * c[1] - b[1] * c[0]);
        triangles.push(det > 0 ? [i, j, k] : [i, k, j]);
      }
    }
  }
  for (let level = 0; level < levels; level += 1) {
    const middle = new Map<string, number>();
    const between = (a: number, b: number): number => {
      const key = a < b ? `${a},${b}` : `${b},${a}`;
      const known = middle.get(key);
      if (known !== undefined) return known;
      const [p, q] = [unit[a]!, unit[b]!];
      unit.push(normalize([p[0] + q[0], p[1] + q[1], p[2] + q[2]]));
      middle.set(key, unit.length - 1);
      return unit.length - 1;
    };
    triangles = triangles.flatMap(([a, b, c]): [number, number, number][] => {
      const [ab, bc, ca] = [between(a, b), between(b, c), between(c, a)];
      return [
        [a, ab, ca],
        [b, bc, ab],
        [c, ca, bc],
        [ab, bc, ca],
      ];
    });
  }
  const placed = unit.flatMap((u) => {
    const p = scale(u, radius);
    return [p[0] + centre[0], p[1] + centre[1], p[2] + centre[2]];
  });
  return { positions: new Float32Array(placed), triangles: new Uint32Array(triangles.flat()) };
}

/** Capsule along z: the sphere mesh pulled apart by `length`; its straight sides are exact facets of the sphere. */
export function capsuleMesh(radius: number, length: number, levels: number): TriangleMesh {
  const sphere = sphereMesh(radius, levels);
  const positions = Float32Array.from(sphere.positions);
  for (let i = 2; i < positions.length; i += 3)
    positions[i]! += positions[i]! >= 0 ? length / 2 : -length / 2;
  return { positions, triangles: sphere.triangles };
}
