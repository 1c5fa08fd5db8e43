import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { fromWindow, windowFrame } from '../../src/contacts/fit-window.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { cross, distance, dot, length, normalize, sub } from '../../src/geometry/vec3.ts';

describe('windowFrame, fromWindow', () => {
  it('is right-handed and orthonormal, w as given, v towards up', () => {
    const n = fc.double({ min: -1, max: 1, noNaN: true });
    const v = fc.tuple(n, n, n);
    fc.assert(
      fc.property(v, v, v, (origin, along, up) => {
        fc.pre(length(along) > 0.1 && length(cross(normalize(along), up)) > 0.05);
        const frame = windowFrame(origin, normalize(along), up);
        expect(distance(cross(frame.u, frame.v), frame.w)).toBeLessThan(1e-12);
        expect(Math.abs(dot(frame.u, frame.v)) + Math.abs(dot(frame.u, frame.w))).toBeLessThan(1e-12);
        expect(dot(frame.v, up)).toBeGreaterThan(0);
        const p: Vec3 = fromWindow(frame, 0.3, -0.2, 0.7);
        const d = sub(p, origin);
        expect(dot(d, frame.u)).toBeCloseTo(0.3, 12);
        expect(dot(d, frame.v)).toBeCloseTo(-0.2, 12);
        expect(dot(d, frame.w)).toBeCloseTo(0.7, 12);
      }),
      { seed: 31, numRuns: 100 },
    );
  });
});
