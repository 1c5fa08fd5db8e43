import { describe, expect, it } from 'vitest';
import type { SeenCrown } from '../../src/contacts/crown-axes.ts';
import { mirrorAxis } from '../../src/contacts/mirror-axis.ts';
import { rotateDirection, rotationAbout } from '../../src/geometry/rigid.ts';
import { averagePatches } from '../../src/geometry/surface-patches.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { cross, dot, vertexAt } from '../../src/geometry/vec3.ts';
import { seededNormal, seededRandom } from '../helpers/random.ts';
import { seenPrism } from './seen-prism.ts';

const ALONG: Vec3 = [1, 0, 0];
const UP: Vec3 = [0, 0, 1];
const PATCH_MM = 0.4;
const turn = (axis: Vec3, deg: number) => rotationAbout([0, 0, 0], axis, (deg * Math.PI) / 180);
const degrees = (a: Vec3, b: Vec3) => (Math.asin(Math.min(1, Math.hypot(...cross(a, b)))) * 180) / Math.PI;

function axisOf({ points, normals }: SeenCrown): Vec3 | null {
  return mirrorAxis(averagePatches(points, normals, PATCH_MM));
}

/** Some of a crown's points, in the given order. */
function chosen({ points, normals }: SeenCrown, which: readonly number[]): SeenCrown {
  const of = (from: Float64Array) => Float64Array.from(which.flatMap((i) => vertexAt(from, i)));
  return { points: of(points), normals: of(normals) };
}

const places = ({ points }: SeenCrown) => Array.from({ length: points.length / 3 }, (_, i) => i);

describe('mirrorAxis', () => {
  for (const [turned, tilted] of [
    [0, 0],
    [9, 0],
    [-12, 6],
    [5, -8],
  ] as const) {
    it(`finds the plane of a crown turned by ${turned} and tilted by ${tilted} degrees`, () => {
      const motions = [turn(UP, turned), turn([0, 1, 0], tilted)];
      const truth = motions.reduce((v, motion) => rotateDirection(motion, v), ALONG);
      const found = axisOf(seenPrism(3, 4, 2.6, motions));
      expect(found).not.toBeNull();
      expect(degrees(found!, truth)).toBeLessThan(0.5);
      expect(dot(found!, found!)).toBeCloseTo(1, 9);
    });
  }

  it('is not led away by a side that a web hides', () => {
    const motions = [turn(UP, 7)];
    const crown = seenPrism(3, 4, 2.6, motions);
    const truth = rotateDirection(motions[0]!, ALONG);
    const seen = places(crown).filter((i) => dot(vertexAt(crown.points, i), truth) < 2.4);
    expect(seen.length).toBeLessThan((0.9 * crown.points.length) / 3);
    const found = axisOf(chosen(crown, seen));
    expect(degrees(found!, truth)).toBeLessThan(1);
  });

  it('does not depend on the order of the points: no place is equally near to two of them by more than rounding', () => {
    for (const seed of [1, 2, 3]) {
      const normal = seededNormal(seed);
      const smooth = seenPrism(3, 4, 2.6, [turn(UP, 8), turn([0, 1, 0], 3)]);
      // A scan's noise, 10 um.
      const crown = { ...smooth, points: smooth.points.map((x) => x + 0.01 * normal()) };
      const random = seededRandom(seed);
      const order = places(crown)
        .map((i) => ({ i, key: random() }))
        .sort((a, b) => a.key - b.key);
      const inOrder = axisOf(crown)!;
      const shuffled = axisOf(
        chosen(
          crown,
          order.map(({ i }) => i),
        ),
      )!;
      expect(degrees(inOrder, shuffled)).toBeLessThan(1e-6);
    }
  });

  it('moves little when the cubes lie elsewhere', () => {
    const crown = seenPrism(3, 4, 2.6, [turn(UP, 8)]);
    const found = axisOf(crown)!;
    const shift = [0.13, -0.17, 0.11];
    const elsewhere = axisOf({ ...crown, points: crown.points.map((x, i) => x + shift[i % 3]!) })!;
    expect(degrees(found, elsewhere)).toBeLessThan(0.2);
  });

  it('gives none where too little is seen, or where the crown stands farther turned than twenty degrees', () => {
    const crown = seenPrism(3, 4, 2.6, []);
    const few = chosen(crown, places(crown).slice(0, 40));
    expect(axisOf(few)).toBeNull();
    const found = axisOf(seenPrism(3, 4.5, 2.6, [turn(UP, 30)]));
    // Either no plane, or none beyond the search.
    expect(found === null || degrees(found, ALONG) < 20.1).toBe(true);
  });
});
