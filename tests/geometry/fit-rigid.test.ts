import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { fitRigid, pointToPlaneStep } from '../../src/geometry/fit-rigid.ts';
import { movePoint, type RigidMotion, rotationAbout } from '../../src/geometry/rigid.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { distance, normalize } from '../../src/geometry/vec3.ts';
import { seededNormal } from '../helpers/random.ts';

const points: Vec3[] = [
  [0, 0, 0],
  [10, 0, 1],
  [0, 7, 2],
  [3, -2, 9],
  [-4, 5, 5],
];

function apart(a: RigidMotion, b: RigidMotion): number {
  return Math.max(...points.map((p) => distance(movePoint(a, p), movePoint(b, p))));
}

const motion = fc
  .record({
    axis: fc.tuple(...[0, 1, 2].map(() => fc.double({ min: -1, max: 1, noNaN: true }))),
    angle: fc.double({ min: -3.1, max: 3.1, noNaN: true }),
    shift: fc.tuple(...[0, 1, 2].map(() => fc.double({ min: -80, max: 80, noNaN: true }))),
  })
  .filter(({ axis }) => Math.hypot(...axis) > 0.1)
  .map(({ axis, angle, shift }) =>
    rotationAbout([1, 2, 3], axis as unknown as Vec3, angle, shift as unknown as Vec3),
  );

describe('fitRigid', () => {
  it('finds any rigid motion again from points and their images', () => {
    fc.assert(
      fc.property(motion, (truth) => {
        const found = fitRigid(
          points.flat(),
          points.flatMap((p) => [...movePoint(truth, p)]),
        );
        expect(found).not.toBeNull();
        expect(apart(found!, truth)).toBeLessThan(1e-9);
      }),
      { numRuns: 60 },
    );
  });

  it('never answers a mirror image with a reflection', () => {
    const found = fitRigid(
      points.flat(),
      points.flatMap(([x, y, z]) => [-x, y, z]),
    )!;
    const [a, b, c, d, e, f, g, h, i] = found.rotation as readonly number[];
    const det = a! * (e! * i! - f! * h!) - b! * (d! * i! - f! * g!) + c! * (d! * h! - e! * g!);
    expect(det).toBeCloseTo(1, 9);
  });

  it('gives no rotation for points in a line or fewer than three', () => {
    expect(fitRigid([0, 0, 0, 1, 0, 0, 2, 0, 0], [0, 0, 0, 1, 0, 0, 2, 0, 0])).toBeNull();
    expect(fitRigid([0, 0, 0, 1, 0, 0], [0, 0, 0, 1, 0, 0])).toBeNull();
  });
});

describe('pointToPlaneStep', () => {
  const normal = seededNormal(4);
  const normals = points.concat(points).map(() => normalize([normal(), normal(), normal()]));
  const cloud = points.concat(points.map(([x, y, z]): Vec3 => [y + 1, z - 2, x + 3]));

  it('undoes a small motion up to its square', () => {
    const truth = rotationAbout([2, 1, 0], [0.3, -0.5, 1], 1e-4, [2e-4, -1e-4, 3e-4]);
    const moved = cloud.flatMap((p) => [...movePoint(truth, p)]);
    const step = pointToPlaneStep(
      Float64Array.from(cloud.flat()),
      Float64Array.from(moved),
      Float64Array.from(normals.flat()),
      new Float64Array(cloud.length).fill(1),
    )!;
    // Ten planes in general position settle six unknowns; what is left is of second order.
    for (const p of cloud) expect(distance(movePoint(step, p), movePoint(truth, p))).toBeLessThan(1e-6);
  });

  it('does not look at points without weight', () => {
    const wrong = cloud.flatMap((p, i) => (i === 3 ? [100, 100, 100] : [...p]));
    const weights = Float64Array.from(cloud, (_, i) => (i === 3 ? 0 : 1));
    const step = pointToPlaneStep(
      Float64Array.from(cloud.flat()),
      Float64Array.from(wrong),
      Float64Array.from(normals.flat()),
      weights,
    )!;
    for (const p of cloud) expect(distance(movePoint(step, p), p)).toBeLessThan(1e-12);
  });

  it('gives nothing where the planes leave a motion free', () => {
    const flat = Float64Array.from(cloud.flatMap(() => [0, 0, 1]));
    const same = Float64Array.from(cloud.flat());
    expect(pointToPlaneStep(same, same, flat, new Float64Array(cloud.length).fill(1))).toBeNull();
  });
});
