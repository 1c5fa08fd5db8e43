import type { TriangleMesh, Vec3 } from '../../src/geometry/types.ts';
import { addScaled, cross, distance, dot, lerp, sub, vertexAt } from '../../src/geometry/vec3.ts';

/*
 * The slow twin of the distance query, written another way on purpose: no tree, no shared code with the query; the
 * distance of two triangles is taken as the least over clamped segment-segment distances and foot points inside faces.
 */

type Triangle = readonly [Vec3, Vec3, Vec3];

function corners(mesh: TriangleMesh, t: number): Triangle {
  return [
    vertexAt(mesh.positions, mesh.triangles[3 * t]!),
    vertexAt(mesh.positions, mesh.triangles[3 * t + 1]!),
    vertexAt(mesh.positions, mesh.triangles[3 * t + 2]!),
  ];
}

function pointSegment(p: Vec3, a: Vec3, b: Vec3): number {
  const u = sub(b, a);
  const l2 = dot(u, u);
  const s = l2 > 0 ? Math.min(1, Math.max(0, dot(sub(p, a), u) / l2)) : 0;
  return distance(p, lerp(a, b, s));
}

function segments(a: Vec3, b: Vec3, c: Vec3, d: Vec3): number {
  let best = Math.min(
    pointSegment(a, c, d),
    pointSegment(b, c, d),
    pointSegment(c, a, b),
    pointSegment(d, a, b),
  );
  const n = cross(sub(b, a), sub(d, c));
  const n2 = dot(n, n);
  if (n2 > 0) {
    const r = sub(c, a);
    const s = dot(cross(r, sub(d, c)), n) / n2;
    const t = dot(cross(r, sub(b, a)), n) / n2;
    if (s > 0 && s < 1 && t > 0 && t < 1) best = Math.min(best, Math.abs(dot(r, n)) / Math.sqrt(n2));
  }
  return best;
}

function inside(t: Triangle, n: Vec3, p: Vec3): boolean {
  return [0, 1, 2].every((k) => dot(cross(sub(t[(k + 1) % 3]!, t[k]!), sub(p, t[k]!)), n) >= 0);
}

/** Distance of two triangles by enumeration; 0 when an edge runs through the other's face. */
export function bruteTriangleDistance(a: Triangle, b: Triangle): number {
  let best = Number.POSITIVE_INFINITY;
  for (let i = 0; i < 3; i += 1) {
    for (let j = 0; j < 3; j += 1) {
      best = Math.min(best, segments(a[i]!, a[(i + 1) % 3]!, b[j]!, b[(j + 1) % 3]!));
    }
  }
  for (const [t, other] of [
    [a, b],
    [b, a],
  ] as const) {
    const n = cross(sub(t[1], t[0]), sub(t[2], t[0]));
    const l2 = dot(n, n);
    if (l2 === 0) continue;
    for (let i = 0; i < 3; i += 1) {
      const p = other[i]!;
      const q = other[(i + 1) % 3]!;
      const hp = dot(sub(p, t[0]), n);
      const hq = dot(sub(q, t[0]), n);
      if (inside(t, n, addScaled(p, n, -hp / l2))) best = Math.min(best, Math.abs(hp) / Math.sqrt(l2));
      if (hp * hq < 0 && inside(t, n, lerp(p, q, hp / (hp - hq)))) best = 0;
    }
  }
  return best;
}

/** Distance of two meshes over all pairs of triangles. */
export function bruteDistance(a: TriangleMesh, b: TriangleMesh): number {
  let best = Number.POSITIVE_INFINITY;
  for (let i = 0; i < a.triangles.length / 3; i += 1) {
    const ta = corners(a, i);
    for (let j = 0; j < b.triangles.length / 3; j += 1) {
      best = Math.min(best, bruteTriangleDistance(ta, corners(b, j)));
    }
  }
  return best;
}
