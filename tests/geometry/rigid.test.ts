import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  composeMotions,
  IDENTITY_MOTION,
  invertMotion,
  movePoint,
  movePositions,
  rotateDirection,
  rotationAbout,
  turnAngle,
} from '../../src/geometry/rigid.ts';
import { distance, length } from '../../src/geometry/vec3.ts';

describe('rigid motions', () => {
  it('turns counter-clockwise about the axis and keeps the centre', () => {
    const m = rotationAbout([1, 2, 0], [0, 0, 5], Math.PI / 2);
    expect(distance(movePoint(m, [2, 2, 7]), [1, 3, 7])).toBeLessThan(1e-12);
    expect(distance(movePoint(m, [1, 2, 4]), [1, 2, 4])).toBeLessThan(1e-12);
    expect(movePoint(IDENTITY_MOTION, [1, 2, 3])).toEqual([1, 2, 3]);
    expect([...movePositions(IDENTITY_MOTION, new Float32Array([1, 2, 3]))]).toEqual([1, 2, 3]);
  });

  it('tells the angle of a turn, whatever its axis and place', () => {
    for (const angle of [0, 0.3, Math.PI]) {
      expect(turnAngle(rotationAbout([1, -4, 2], [2, 1, -3], angle, [5, 6, 7]))).toBeCloseTo(angle, 6);
    }
    expect(turnAngle(rotationAbout([0, 0, 0], [0, 1, 0], -0.4))).toBeCloseTo(0.4, 9);
  });

  it('keeps lengths; inverse and composition undo', () => {
    const n = fc.double({ min: -9, max: 9, noNaN: true });
    const v = fc.tuple(n, n, n);
    fc.assert(
      fc.property(v, v, n, v, v, (centre, axis, angle, shift, p) => {
        fc.pre(length(axis) > 0.01);
        const m = rotationAbout(centre, axis, angle, shift);
        expect(Math.abs(length(rotateDirection(m, p)) - length(p))).toBeLessThan(1e-12);
        expect(distance(movePoint(invertMotion(m), movePoint(m, p)), p)).toBeLessThan(1e-11);
        expect(distance(movePoint(composeMotions(invertMotion(m), m), p), p)).toBeLessThan(1e-11);
      }),
      { seed: 9, numRuns: 100 },
    );
  });
});
