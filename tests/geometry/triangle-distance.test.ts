import { describe, expect, it } from 'vitest';
import {
  closestPointOnTriangle,
  makePairBuffer,
  triangleDistance,
} from '../../src/geometry/triangle-distance.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { distance } from '../../src/geometry/vec3.ts';
import { bruteTriangleDistance } from '../helpers/brute-distance.ts';
import { seededRandom } from '../helpers/random.ts';

const flat = (...points: Vec3[]) => Float64Array.from(points.flat());

function ask(a: Float64Array, b: Float64Array) {
  const out = makePairBuffer();
  const d2 = triangleDistance(a, b, out);
  const p: Vec3 = [out[1]!, out[2]!, out[3]!];
  const q: Vec3 = [out[4]!, out[5]!, out[6]!];
  return { d: Math.sqrt(d2), p, q };
}

describe('triangleDistance', () => {
  const floor = flat([0, 0, 0], [4, 0, 0], [0, 4, 0]);

  it('vertex above a face', () => {
    const { d, p, q } = ask(floor, flat([1, 1, 0.5], [1, 1, 3], [2, 1, 3]));
    expect(d).toBeCloseTo(0.5, 15);
    expect(p).toEqual([1, 1, 0]);
    expect(q).toEqual([1, 1, 0.5]);
  });

  it('crossing edges: no vertex is near, the distance is between the edges', () => {
    // edge of A along x at z = 0, edge of B along y at z = 0.25; all other corners far away
    const a = flat([-5, 0, 0], [5, 0, 0], [0, 0, -9]);
    const b = flat([1, -5, 0.25], [1, 5, 0.25], [1, 0, 9]);
    const { d, p, q } = ask(a, b);
    expect(d).toBeCloseTo(0.25, 15);
    expect(p).toEqual([1, 0, 0]);
    expect(q).toEqual([1, 0, 0.25]);
    expect(Math.min(...[0, 1, 2].map((k) => Math.abs(b[3 * k + 1]!)))).toBe(0);
  });

  it('pierced face and coplanar overlap have distance zero with equal points', () => {
    for (const b of [flat([1, 1, -1], [1, 1, 1], [9, 9, 1]), flat([1, 1, 0], [9, 1, 0], [1, 9, 0])]) {
      const { d, p, q } = ask(floor, b);
      expect(d).toBe(0);
      expect(distance(p, q)).toBe(0);
    }
  });

  it('edge to edge in one plane, vertex to vertex', () => {
    expect(ask(floor, flat([0, -0.3, 0], [4, -0.3, 0], [0, -2, 0])).d).toBeCloseTo(0.3, 15);
    expect(ask(floor, flat([-3, -4, 0], [-9, -4, 0], [-3, -9, 1])).d).toBeCloseTo(5, 15);
  });

  it('agrees with the enumeration written another way on 4000 random pairs', () => {
    const random = seededRandom(4);
    let edgeEdge = 0;
    for (let n = 0; n < 4000; n += 1) {
      const size = n % 2 === 0 ? 1 : 0.3;
      const triangle = (shift: number): [Vec3, Vec3, Vec3] => {
        const point = (): Vec3 => [random() * size + shift, random() * size, random() * size];
        return [point(), point(), point()];
      };
      const a = triangle(0);
      const b = triangle(0.5);
      const { d, p, q } = ask(flat(...a), flat(...b));
      expect(Math.abs(d - bruteTriangleDistance(a, b))).toBeLessThan(1e-12);
      expect(Math.abs(distance(p, q) - d)).toBeLessThan(1e-12);
      const atCorner = [...a, ...b].some((c) => distance(c, p) < 1e-9 || distance(c, q) < 1e-9);
      if (!atCorner && d > 0) edgeEdge += 1;
    }
    // The trial must hold the case that vertex queries miss.
    expect(edgeEdge).toBeGreaterThan(400);
  });

  it('a triangle is the segment it is, whichever of its corners lie in one place', () => {
    const random = seededRandom(8);
    const point = (): Vec3 => [random() * 2, random(), random()];
    for (let n = 0; n < 300; n += 1) {
      const [p, q, r] = [point(), point(), point()];
      const wanted = bruteTriangleDistance([p, p, q], [r, r, r]);
      for (const needle of [flat(p, p, q), flat(p, q, p), flat(p, q, q), flat(q, p, p)]) {
        const nearest = new Float64Array(3);
        const d = Math.sqrt(closestPointOnTriangle(needle, r[0], r[1], r[2], nearest));
        expect(Math.abs(d - wanted)).toBeLessThan(1e-12);
        expect(Math.abs(distance([nearest[0]!, nearest[1]!, nearest[2]!], r) - d)).toBeLessThan(1e-12);
      }
    }
  });

  it('a triangle that is a point or a needle is still a place', () => {
    const point = flat([1, 1, 2], [1, 1, 2], [1, 1, 2]);
    expect(ask(floor, point).d).toBeCloseTo(2, 15);
    const needle = flat([1, 1, 2], [1, 1, 1], [1, 1, 1.5]);
    expect(ask(floor, needle).d).toBeCloseTo(1, 15);
    expect(closestPointOnTriangle(point, 0, 1, 2, new Float64Array(3))).toBeCloseTo(1, 15);
  });
});
