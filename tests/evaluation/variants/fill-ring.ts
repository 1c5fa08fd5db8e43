import Delaunator from 'delaunator';
import type { Vec3 } from '../../../src/geometry/types.ts';
import { dot } from '../../../src/geometry/vec3.ts';
import type { OcclusalFrame } from '../../../src/teeth/types.ts';
import type { Builder } from './take-out-teeth.ts';

/** Rounds of evening out the heights: the ring is some tens of edges wide. */
const ROUNDS = 2000;

/**
 * Closes a ring by a smooth sheet over its plan: triangles of Delaunay between the ring and a hexagonal grid of points
 * inside, heights harmonic (each the mean of its neighbours'). All of it is gum.
 *
 * @param ring - vertices of the builder, in the direction of the kept triangles along it
 */
export function fillRing(
  builder: Builder,
  ring: readonly number[],
  frame: OcclusalFrame,
  edgeMm: number,
): void {
  const plan = (v: number): readonly [number, number] => {
    const p = builder.at(v);
    return [dot(frame.x, p), dot(frame.y, p)];
  };
  const outline = ring.map(plan);
  const inner = gridInside(outline, edgeMm);
  const points = [...outline, ...inner];
  const { triangles } = Delaunator.from(points);
  const kept: [number, number, number][] = [];
  for (let t = 0; t < triangles.length; t += 3) {
    const [a, b, c] = [triangles[t]!, triangles[t + 1]!, triangles[t + 2]!];
    const [p, q, r] = [points[a]!, points[b]!, points[c]!];
    if (isInside(outline, (p[0] + q[0] + r[0]) / 3, (p[1] + q[1] + r[1]) / 3)) kept.push([a, b, c]);
  }
  if (kept.length < ring.length / 2) throw new Error('a ring crosses itself and can not be closed');
  const height = harmonicHeights(
    ring.map((v) => dot(frame.z, builder.at(v))),
    points.length,
    kept,
  );
  const names = [
    ...ring,
    ...inner.map(([x, y], k): number => {
      const z = height[ring.length + k]!;
      return builder.vertex(
        [0, 1, 2].map((c) => x * frame.x[c]! + y * frame.y[c]! + z * frame.z[c]!) as unknown as Vec3,
      );
    }),
  ];
  for (const [a, b, c] of kept) {
    // Upwards, seen in the scan's own right-handed axes.
    const up = dot(frame.z, areaVector(builder.at(names[a]!), builder.at(names[b]!), builder.at(names[c]!)));
    if (up >= 0) builder.face(names[a]!, names[b]!, names[c]!, 0);
    else builder.face(names[a]!, names[c]!, names[b]!, 0);
  }
}

function areaVector(a: Vec3, b: Vec3, c: Vec3): Vec3 {
  const [ux, uy, uz] = [b[0] - a[0], b[1] - a[1], b[2] - a[2]];
  const [vx, vy, vz] = [c[0] - a[0], c[1] - a[1], c[2] - a[2]];
  return [uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx];
}

function gridInside(outline: readonly (readonly [number, number])[], step: number): [number, number][] {
  const xs = outline.map(([x]) => x);
  const ys = outline.map(([, y]) => y);
  const inside: [number, number][] = [];
  const row = step * Math.sqrt(0.75);
  for (let j = 0, y = Math.min(...ys); y < Math.max(...ys); j += 1, y += row) {
    for (let x = Math.min(...xs) + (j % 2) * (step / 2); x < Math.max(...xs); x += step) {
      const clear = outline.every(([u, v]) => Math.hypot(u - x, v - y) > 0.6 * step);
      if (clear && isInside(outline, x, y)) inside.push([x, y]);
    }
  }
  return inside;
}

/** Even-odd rule. */
function isInside(outline: readonly (readonly [number, number])[], x: number, y: number): boolean {
  let inside = false;
  outline.forEach(([ax, ay], k) => {
    const [bx, by] = outline[(k + 1) % outline.length]!;
    if (ay > y !== by > y && x < ax + ((y - ay) / (by - ay)) * (bx - ax)) inside = !inside;
  });
  return inside;
}

function harmonicHeights(
  given: readonly number[],
  count: number,
  triangles: readonly (readonly [number, number, number])[],
): Float64Array {
  const mean = given.reduce((sum, value) => sum + value, 0) / given.length;
  const height = new Float64Array(count).fill(mean);
  height.set(given);
  const near: Set<number>[] = Array.from({ length: count }, () => new Set());
  for (const corners of triangles) {
    for (const a of corners) for (const b of corners) if (a !== b) near[a]!.add(b);
  }
  for (let round = 0; round < ROUNDS; round += 1) {
    for (let i = given.length; i < count; i += 1) {
      let sum = 0;
      for (const j of near[i]!) sum += height[j]!;
      if (near[i]!.size > 0) height[i] = sum / near[i]!.size;
    }
  }
  return height;
}
