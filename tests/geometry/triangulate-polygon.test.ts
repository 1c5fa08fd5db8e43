import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { makePolygonScratch, triangulatePolygon } from '../../src/geometry/triangulate-polygon.ts';

const scratch = makePolygonScratch(255);

type Point2 = readonly [number, number];

function cut(points: readonly number[]): { sound: boolean; triangles: number[][] } {
  const count = points.length / 3;
  const out = new Uint32Array(3 * (count - 2));
  const sound = triangulatePolygon(points, count, scratch, out);
  return {
    sound,
    triangles: Array.from({ length: count - 2 }, (_, t) => [...out.subarray(3 * t, 3 * t + 3)]),
  };
}

/** Signed area by the shoelace formula. */
function area(polygon: readonly Point2[]): number {
  return polygon.reduce((sum, [x, y], i) => {
    const [u, v] = polygon[(i + 1) % polygon.length]!;
    return sum + (x * v - u * y) / 2;
  }, 0);
}

/** Every triangle runs the polygon's way round and their areas add up to the polygon's: then they tile it. */
function expectTiling(polygon: readonly Point2[], triangles: readonly number[][]): void {
  const areas = triangles.map((t) => area(t.map((i) => polygon[i]!)));
  for (const value of areas) expect(value).toBeGreaterThanOrEqual(-1e-9);
  expect(areas.reduce((a, b) => a + b, 0)).toBeCloseTo(area(polygon), 6);
  // Each side of the polygon is a side of exactly one triangle, in the same direction.
  for (let i = 0; i < polygon.length; i++) {
    const j = (i + 1) % polygon.length;
    const uses = triangles.filter((t) => t.some((v, k) => v === i && t[(k + 1) % 3] === j));
    expect(uses.length).toBe(1);
  }
}

const flat = (polygon: readonly Point2[]): number[] => polygon.flatMap(([x, y]) => [x, y, 0]);

describe('cutting polygons, in closed form', () => {
  test('a triangle stays itself', () => {
    expect(cut([0, 0, 0, 1, 0, 0, 0, 1, 0])).toEqual({ sound: true, triangles: [[0, 1, 2]] });
  });

  test('a concave quad is cut along the diagonal that lies inside it', () => {
    // An arrow head: corner 2 is the dent; only the diagonal 0-2 lies inside.
    const arrow: Point2[] = [
      [0, 0],
      [4, 4],
      [0, 1],
      [-4, 4],
    ];
    const { sound, triangles } = cut(flat(arrow));
    expect(sound).toBe(true);
    expectTiling(arrow, triangles);
    for (const t of triangles) expect(t).toEqual(expect.arrayContaining([0, 2]));
  });

  test('each of the four corners of a quad may be the dent, also clockwise and in any plane', () => {
    const arrow = [
      [0, 0],
      [4, 4],
      [0, 1],
      [-4, 4],
    ] as const;
    for (let turn = 0; turn < 4; turn++) {
      const turned = arrow.map((_, i) => arrow[(i + turn) % 4]!);
      expectTiling(turned, cut(flat(turned)).triangles);
      // In the plane x = 3, seen from behind.
      const inSpace = turned.flatMap(([x, y]) => [3, y, x]);
      const { sound, triangles } = cut(inSpace);
      expect(sound).toBe(true);
      const dent = (2 - turn + 4) % 4;
      for (const t of triangles) expect(t).toEqual(expect.arrayContaining([dent, (dent + 2) % 4]));
    }
  });

  test('a convex quad is cut along its shorter diagonal', () => {
    const rhombus: Point2[] = [
      [-5, 0],
      [0, -1],
      [5, 0],
      [0, 1],
    ];
    for (const t of cut(flat(rhombus)).triangles) expect(t).toEqual(expect.arrayContaining([1, 3]));
  });

  test('a comb with 20 teeth and a spiral are tiled', () => {
    const comb: Point2[] = [
      [0, -1],
      [40, -1],
      ...Array.from({ length: 41 }, (_, i): Point2 => [40 - i, i % 2 === 0 ? 9 : 0.5]),
    ];
    expect(cut(flat(comb)).sound).toBe(true);
    expectTiling(comb, cut(flat(comb)).triangles);
    const arm = (r: number): Point2[] =>
      Array.from({ length: 60 }, (_, i): Point2 => {
        const angle = i * 0.2;
        return [(r + 0.2 * angle) * Math.cos(angle), (r + 0.2 * angle) * Math.sin(angle)];
      });
    const spiral = [...arm(1), ...arm(0.6).reverse()].reverse();
    const counterClockwise = area(spiral) > 0 ? spiral : [...spiral].reverse();
    expectTiling(counterClockwise, cut(flat(counterClockwise)).triangles);
  });

  test('a regular polygon of 255 corners is tiled', () => {
    const circle = Array.from({ length: 255 }, (_, i): Point2 => {
      const angle = (2 * Math.PI * i) / 255;
      return [Math.cos(angle), Math.sin(angle)];
    });
    expectTiling(circle, cut(flat(circle)).triangles);
  });

  test('corners on a straight line and repeated corners do no harm', () => {
    const withMiddles: Point2[] = [
      [0, 0],
      [1, 0],
      [2, 0],
      [2, 1],
      [2, 2],
      [0, 2],
    ];
    expect(cut(flat(withMiddles)).sound).toBe(true);
    expectTiling(withMiddles, cut(flat(withMiddles)).triangles);
    const repeated = cut([0, 0, 0, 1, 0, 0, 1, 1, 0, 1, 1, 0]);
    expect(repeated.sound).toBe(true);
    expect(repeated.triangles.length).toBe(2);
  });

  test('a figure of eight and a polygon without area are told apart from sound ones', () => {
    // Crosses itself; the two halves differ in size, so that the whole has an area.
    expect(
      cut(
        flat([
          [0, 0],
          [4, 4],
          [4, 0],
          [0, 3],
          [-1, 3],
        ] as const),
      ).sound,
    ).toBe(false);
    const line = cut([0, 0, 0, 1, 1, 1, 2, 2, 2, 3, 3, 3]);
    expect(line.sound).toBe(false);
    expect(line.triangles.length).toBe(2);
  });
});

describe('cutting polygons, as properties', () => {
  test('star-shaped polygons in any position are tiled', () => {
    const radii = fc.array(fc.double({ min: 0.2, max: 3, noNaN: true }), { minLength: 3, maxLength: 40 });
    const angle = fc.double({ min: 0, max: 6.28, noNaN: true });
    fc.assert(
      fc.property(radii, angle, angle, (r, a, b) => {
        const star = r.map((radius, i): Point2 => {
          const at = (2 * Math.PI * i) / r.length;
          return [radius * Math.cos(at), radius * Math.sin(at)];
        });
        // Turned about x by a, then about z by b, then moved.
        const inSpace = star.flatMap(([x, y]) => {
          const [u, v, w] = [x, y * Math.cos(a), y * Math.sin(a)];
          return [u * Math.cos(b) - v * Math.sin(b) + 20, u * Math.sin(b) + v * Math.cos(b) - 7, w];
        });
        const { sound, triangles } = cut(inSpace);
        expect(sound).toBe(true);
        expectTiling(star, triangles);
      }),
      { seed: 21, numRuns: 200 },
    );
  });
});
