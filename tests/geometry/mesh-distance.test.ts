import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { closestOfMeshes } from '../../src/geometry/mesh-distance.ts';
import { movePositions, rotationAbout } from '../../src/geometry/rigid.ts';
import { closestBetween, indexSurface } from '../../src/geometry/surface-distance.ts';
import type { TriangleMesh, Vec3 } from '../../src/geometry/types.ts';
import { distance } from '../../src/geometry/vec3.ts';
import { bruteDistance } from '../helpers/brute-distance.ts';
import { boxMesh, capsuleMesh, sphereMesh } from '../helpers/closed-meshes.ts';

const moved = (m: TriangleMesh, motion: Parameters<typeof movePositions>[0]): TriangleMesh => ({
  positions: movePositions(motion, m.positions),
  triangles: m.triangles,
});
const shifted = (m: TriangleMesh, by: Vec3) => moved(m, rotationAbout([0, 0, 0], [0, 0, 1], 0, by));

/** The distance, and that the points lie that far apart on the triangles named. */
function checked(a: TriangleMesh, b: TriangleMesh, expectedMm: number): void {
  const pair = closestOfMeshes(a, b);
  expect(Math.abs(pair.distanceMm - expectedMm)).toBeLessThan(1e-12);
  expect(Math.abs(distance(pair.a, pair.b) - pair.distanceMm)).toBeLessThan(1e-12);
  for (const [mesh, triangle, point] of [
    [a, pair.triangleA, pair.a],
    [b, pair.triangleB, pair.b],
  ] as const) {
    const single = {
      positions: Float32Array.from([0, 1, 2].flatMap((k) => corner(mesh, 3 * triangle + k))),
      triangles: Uint32Array.of(0, 1, 2),
    };
    const dot = { positions: Float32Array.from([...point, ...point, ...point]), triangles: single.triangles };
    expect(bruteDistance(single, dot)).toBeLessThan(1e-5);
  }
}
const corner = ({ positions, triangles }: TriangleMesh, i: number): number[] => [
  ...positions.subarray(3 * triangles[i]!, 3 * triangles[i]! + 3),
];

describe('closed forms', () => {
  const box = boxMesh([0, 0, 0], [2, 2, 2]);

  it('boxes face to face, and corner to corner', () => {
    checked(box, boxMesh([2.25, 0.5, 0.5], [4, 1.5, 1.5]), 0.25);
    const cornerwise = boxMesh([2.25, 2.5, 2.5], [4, 4, 4]);
    checked(box, cornerwise, Math.hypot(0.25, 0.5, 0.5));
  });

  it('crossing edges of coarse bars, where every vertex is far', () => {
    const bar = moved(boxMesh([-10, -1, -1], [10, 1, 1]), rotationAbout([0, 0, 0], [1, 0, 0], Math.PI / 4));
    const quarter = rotationAbout([0, 0, 0], [0, 0, 1], Math.PI / 2, [0.3, 0.2, 2 * Math.SQRT2 + 0.15]);
    const across = moved(bar, quarter);
    expect(Math.abs(closestOfMeshes(bar, across).distanceMm - 0.15)).toBeLessThan(4e-6);
    checked(bar, across, bruteDistance(bar, across));
  });

  it('surfaces that run through each other, that touch, and one within the other', () => {
    checked(box, boxMesh([1, 1, 1], [3, 3, 3]), 0);
    checked(box, boxMesh([2, 0, 0], [3, 2, 2]), 0);
    checked(box, boxMesh([0.75, 0.5, 0.5], [1.5, 1.5, 1.5]), 0.5);
    const nested = [sphereMesh(2, 2), sphereMesh(2.05, 2)] as const;
    checked(...nested, closestBetween(indexSurface(nested[0]), indexSurface(nested[1])).distanceMm);
  });

  it('far apart, and far from the origin', () => {
    checked(box, shifted(box, [900, 0, 0]), 898);
    checked(shifted(box, [800, 800, 800]), shifted(box, [802.125, 800, 800]), 0.125);
  });
});

describe('meshes as they come', () => {
  it('degenerate triangles count as the segments and points they are', () => {
    const needle = {
      positions: Float32Array.of(0, 0, 0, 1, 0, 0, 2, 0, 0),
      triangles: Uint32Array.of(0, 1, 2),
    };
    const dot = { positions: Float32Array.of(1.5, 0.25, 0), triangles: Uint32Array.of(0, 0, 0) };
    checked(needle, dot, 0.25);
    checked(dot, dot, 0);
  });

  it('vertices that no triangle uses are no surface, wherever the search comes upon them', () => {
    const box = boxMesh([0, 0, 0], [1, 1, 1]);
    const strays = Float32Array.of(...box.positions, 1.5, 0.5, 0.5, 2, 0.5, 0.5);
    const other = boxMesh([3, 0, 0], [4, 1, 1]);
    checked({ positions: strays, triangles: box.triangles }, other, 2);
    checked(other, { positions: strays, triangles: box.triangles }, 2);
  });

  it('of parts of a mesh, only those are asked about', () => {
    const both = [
      boxMesh([0, 0, 0], [1, 1, 1]),
      boxMesh([1.5, 0, 0], [2, 1, 1]),
      boxMesh([3, 0, 0], [4, 1, 1]),
    ];
    const mesh = {
      positions: Float32Array.from(both.flatMap(({ positions }) => [...positions])),
      triangles: Uint32Array.from(both.flatMap(({ triangles }, i) => [...triangles].map((v) => v + 8 * i))),
    };
    const part = (i: number) => Uint32Array.from({ length: 12 }, (_, t) => 12 * i + t);
    const pair = closestOfMeshes(mesh, mesh, part(2), part(0));
    expect(pair.distanceMm).toBe(2);
    expect(Math.floor(pair.triangleA / 12)).toBe(2);
    expect(Math.floor(pair.triangleB / 12)).toBe(0);
  });

  it('nothing, and what is not finite, is refused', () => {
    const box = boxMesh([0, 0, 0], [1, 1, 1]);
    const none = { positions: box.positions, triangles: new Uint32Array(0) };
    expect(() => closestOfMeshes(box, none)).toThrow(RangeError);
    for (const bad of [Number.NaN, Number.POSITIVE_INFINITY]) {
      const positions = Float32Array.from(box.positions, (x, i) => (i === 4 ? bad : x));
      expect(() => closestOfMeshes({ positions, triangles: box.triangles }, box)).toThrow(RangeError);
      expect(() => closestOfMeshes(box, { positions, triangles: box.triangles })).toThrow(RangeError);
    }
  });
});

describe('against every pair of triangles, in double precision', () => {
  const shapes = [boxMesh([-1, -0.4, -2], [1, 0.4, 2]), sphereMesh(1.5, 0), capsuleMesh(0.6, 2, 0)];
  const number = (reach: number) => fc.double({ min: -reach, max: reach, noNaN: true });
  const motion = fc
    .tuple(fc.tuple(number(1), number(1), number(1)), number(3), fc.tuple(number(6), number(6), number(6)))
    .map(([axis, angle, shift]) => rotationAbout([0, 0, 0], [axis[0] + 2, axis[1], axis[2]], angle, shift));
  const shape = fc.integer({ min: 0, max: shapes.length - 1 });

  it('finds the same for shapes anywhere, apart, nested or run into each other', () => {
    fc.assert(
      fc.property(shape, shape, motion, motion, (i, j, m1, m2) => {
        const [a, b] = [moved(shapes[i]!, m1), moved(shapes[j]!, m2)];
        checked(a, b, bruteDistance(a, b));
      }),
      { seed: 31, numRuns: 40 },
    );
  });

  it('and for loose triangles, large and small, flat and degenerate, on a coarse grid full of ties', () => {
    const grid = fc.integer({ min: -3, max: 3 });
    const soup = fc
      .array(fc.tuple(grid, grid, grid), { minLength: 3, maxLength: 30 })
      .map((points): TriangleMesh => {
        const count = points.length - (points.length % 3);
        return {
          positions: Float32Array.from(points.slice(0, count).flat()),
          triangles: Uint32Array.from({ length: count }, (_, i) => i),
        };
      });
    fc.assert(
      fc.property(soup, soup, grid, (a, b, lift) => {
        const other = shifted(b, [0, lift, 4]);
        expect(Math.abs(closestOfMeshes(a, other).distanceMm - bruteDistance(a, other))).toBeLessThan(1e-12);
      }),
      { seed: 32, numRuns: 60 },
    );
  });
});
