import { describe, expect, it } from 'vitest';
import { sampleOrientedPoints } from '../../src/geometry/oriented-points.ts';
import { movePoint, movePositions, rotationAbout } from '../../src/geometry/rigid.ts';
import { roughPoses } from '../../src/geometry/rough-registration.ts';
import { distance, vertexAt } from '../../src/geometry/vec3.ts';
import { bumpyShell } from '../helpers/bumpy-shell.ts';
import { seededNormal } from '../helpers/random.ts';

const SETTINGS = {
  reachMm: 5,
  toleranceMm: 1.5,
  leastBaseMm: 6,
  mostDraws: 20_000,
  poses: 3,
  seed: 1,
} as const;
const shell = bumpyShell(0);
const cloud = sampleOrientedPoints(shell, 1.2);

describe('roughPoses', () => {
  it.each([1, 2, 3, 4])('finds a shell again in random pose %i', (seed) => {
    const random = seededNormal(seed);
    const truth = rotationAbout([0, 0, 0], [random(), random(), random()], 3 * random(), [
      40 * random(),
      40 * random(),
      40 * random(),
    ]);
    const noise = movePositions(truth, shell.positions).map((x) => x + 0.02 * random());
    const to = sampleOrientedPoints({ positions: noise, triangles: shell.triangles }, 1.2);
    const best = roughPoses(cloud, to, SETTINGS)[0]!;
    for (const i of [0, 50, 150, 300]) {
      const p = vertexAt(cloud.points, i);
      expect(distance(movePoint(best.motion, p), movePoint(truth, p))).toBeLessThan(1.5);
    }
    expect(best.agreeing).toBeGreaterThan(0.1 * (cloud.points.length / 3));
  });

  it('agrees on little for another shape, and gives the same poses for the same input', () => {
    const other = sampleOrientedPoints(bumpyShell(2.4), 1.2);
    const found = roughPoses(cloud, other, SETTINGS);
    const same = roughPoses(cloud, cloud, SETTINGS)[0]!.agreeing;
    expect(found[0]?.agreeing ?? 0).toBeLessThan(same / 3);
    expect(roughPoses(cloud, other, SETTINGS)).toEqual(found);
  });

  it('gives none for a handful of points', () => {
    const few = { points: cloud.points.slice(0, 6), normals: cloud.normals.slice(0, 6) };
    expect(roughPoses(few, cloud, SETTINGS)).toEqual([]);
  });
});
