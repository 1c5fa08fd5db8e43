import { describe, expect, it } from 'vitest';
import { mirrorAxis } from '../../src/contacts/mirror-axis.ts';
import { rotateDirection, rotationAbout } from '../../src/geometry/rigid.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { dot } from '../../src/geometry/vec3.ts';
import { seenPrism } from './seen-prism.ts';

const ALONG: Vec3 = [1, 0, 0];
const UP: Vec3 = [0, 0, 1];
const turn = (axis: Vec3, deg: number) => rotationAbout([0, 0, 0], axis, (deg * Math.PI) / 180);
const degrees = (a: Vec3, b: Vec3) => (Math.acos(Math.min(1, Math.abs(dot(a, b)))) * 180) / Math.PI;

describe('mirrorAxis', () => {
  for (const [turned, tilted] of [
    [0, 0],
    [9, 0],
    [-12, 6],
    [5, -8],
  ] as const) {
    it(`finds the plane of a crown turned by ${turned} and tilted by ${tilted} degrees`, () => {
      const motions = [turn(UP, turned), turn([0, 1, 0], tilted)];
      const crown = seenPrism(3, 4, 2.6, motions);
      const truth = motions.reduce((v, motion) => rotateDirection(motion, v), ALONG);
      const found = mirrorAxis(crown, crown.points, ALONG, UP);
      expect(found).not.toBeNull();
      expect(degrees(found!, truth)).toBeLessThan(0.5);
      expect(dot(found!, found!)).toBeCloseTo(1, 9);
    });
  }

  it('is not led away by a side that a web hides', () => {
    const motions = [turn(UP, 7)];
    const crown = seenPrism(3, 4, 2.6, motions);
    const truth = rotateDirection(motions[0]!, ALONG);
    const seen = crown.points.filter((p) => dot(p, truth) < 2.4);
    expect(seen.length).toBeLessThan(0.9 * crown.points.length);
    expect(degrees(mirrorAxis(crown, seen, ALONG, UP)!, truth)).toBeLessThan(1);
  });

  it('gives none where too little is seen, or where the crown stands farther turned than twenty degrees', () => {
    const crown = seenPrism(3, 4, 2.6, []);
    expect(mirrorAxis(crown, crown.points.slice(0, 40), ALONG, UP)).toBeNull();
    const far = seenPrism(3, 4.5, 2.6, [turn(UP, 30)]);
    const found = mirrorAxis(far, far.points, ALONG, UP);
    // Either no plane, or none beyond the search.
    expect(found === null || degrees(found, ALONG) < 20.1).toBe(true);
  });
});
