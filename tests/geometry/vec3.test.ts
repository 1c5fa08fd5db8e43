import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Vec3 } from '../../src/geometry/types.ts';
import {
  add,
  addScaled,
  cross,
  distance,
  dot,
  length,
  lerp,
  normalize,
  perpendicularTo,
  scale,
  sub,
  vertexAt,
} from '../../src/geometry/vec3.ts';

const number = fc.double({ min: -50, max: 50, noNaN: true });
const vector: fc.Arbitrary<Vec3> = fc.tuple(number, number, number);

describe('vec3', () => {
  it('does the closed-form cases', () => {
    expect(add([1, 2, 3], [4, 5, 6])).toEqual([5, 7, 9]);
    expect(sub([4, 5, 6], [1, 2, 3])).toEqual([3, 3, 3]);
    expect(scale([1, -2, 3], 2)).toEqual([2, -4, 6]);
    expect(addScaled([1, 1, 1], [0, 1, 2], 0.5)).toEqual([1, 1.5, 2]);
    expect(dot([1, 2, 3], [4, 5, 6])).toBe(32);
    expect(cross([1, 0, 0], [0, 1, 0])).toEqual([0, 0, 1]);
    expect(length([2, 3, 6])).toBe(7);
    expect(distance([1, 1, 1], [3, 4, 7])).toBe(7);
    expect(lerp([0, 0, 0], [2, 4, 8], 0.25)).toEqual([0.5, 1, 2]);
    expect(normalize([0, 3, 4])).toEqual([0, 0.6000000000000001, 0.8]);
    expect(normalize([0, 0, 0])).toEqual([0, 0, 0]);
    expect(perpendicularTo([1, 2, 3], [0, 0, 1])).toEqual([1, 2, 0]);
  });

  it('reads a vertex and refuses one that is not there', () => {
    const positions = new Float32Array([0, 1, 2, 3, 4, 5]);
    expect(vertexAt(positions, 1)).toEqual([3, 4, 5]);
    expect(() => vertexAt(positions, 2)).toThrow(RangeError);
  });

  it('keeps the identity of Lagrange: |a x b|^2 + (a.b)^2 = |a|^2 |b|^2', () => {
    fc.assert(
      fc.property(vector, vector, (a, b) => {
        const c = cross(a, b);
        const right = dot(a, a) * dot(b, b);
        expect(Math.abs(dot(c, c) + dot(a, b) ** 2 - right)).toBeLessThanOrEqual(1e-12 * (1 + right));
      }),
      { seed: 20, numRuns: 200 },
    );
  });
});
