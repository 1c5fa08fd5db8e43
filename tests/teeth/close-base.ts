import type { TriangleMesh, Vec3 } from '../../src/geometry/types.ts';

/**
 * Closes an open scan with a trimmed model base: its open edges go straight down to a plane below everything and
 * the plane is capped by a fan. Faces of the scan keep their numbers.
 */
export function closeBase(mesh: TriangleMesh, up: Vec3, depthMm: number): TriangleMesh {
  const positions = [...mesh.positions];
  const triangles = [...mesh.triangles];
  const vertexCount = positions.length / 3;
  const height = (v: number): number =>
    up[0] * positions[3 * v]! + up[1] * positions[3 * v + 1]! + up[2] * positions[3 * v + 2]!;
  let floor = Number.POSITIVE_INFINITY;
  for (let v = 0; v < vertexCount; v++) floor = Math.min(floor, height(v) - depthMm);
  const directed = new Set<number>();
  const endOf = (h: number): number => mesh.triangles[h % 3 === 2 ? h - 2 : h + 1]!;
  for (let h = 0; h < mesh.triangles.length; h++) directed.add(mesh.triangles[h]! * vertexCount + endOf(h));
  const below = new Map<number, number>();
  const dropped = (v: number): number => {
    let w = below.get(v);
    if (w === undefined) {
      w = positions.length / 3;
      below.set(v, w);
      const fall = floor - height(v);
      for (let k = 0; k < 3; k++) positions.push(positions[3 * v + k]! + fall * up[k]!);
    }
    return w;
  };
  const open: [number, number][] = [];
  for (let h = 0; h < mesh.triangles.length; h++) {
    const a = mesh.triangles[h]!;
    const b = endOf(h);
    if (directed.has(b * vertexCount + a)) continue;
    open.push([a, b]);
    dropped(a);
    dropped(b);
  }
  const centre = positions.length / 3;
  const sums = [0, 0, 0];
  for (const w of below.values()) for (let k = 0; k < 3; k++) sums[k]! += positions[3 * w + k]! / below.size;
  positions.push(...sums);
  for (const [a, b] of open) {
    const [c, d] = [dropped(a), dropped(b)];
    triangles.push(b, a, c, b, c, d, d, c, centre);
  }
  return { positions: Float32Array.from(positions), triangles: Uint32Array.from(triangles) };
}
