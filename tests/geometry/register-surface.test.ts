import { describe, expect, it } from 'vitest';
import { sampleOrientedPoints } from '../../src/geometry/oriented-points.ts';
import { registerToSurface, surfacePartners } from '../../src/geometry/register-surface.ts';
import {
  IDENTITY_MOTION,
  invertMotion,
  movePoint,
  movePositions,
  rotationAbout,
} from '../../src/geometry/rigid.ts';
import { indexSurface } from '../../src/geometry/surface-index.ts';
import { distance, vertexAt } from '../../src/geometry/vec3.ts';
import { bumpyShell } from '../helpers/bumpy-shell.ts';
import { seededNormal } from '../helpers/random.ts';

const SETTINGS = { reachesMm: [2, 1.5, 1, 0.6], nearMm: 0.1, mostRounds: 40 };
const shell = bumpyShell(0);
const truth = rotationAbout([1, 0, 2], [0.2, 1, -0.4], 0.06, [0.5, -0.4, 0.3]);
const target = { positions: movePositions(truth, shell.positions), triangles: shell.triangles };

describe('registerToSurface', () => {
  const cloud = sampleOrientedPoints(shell, 1);
  const surface = indexSurface(target);
  const miss = (motion: typeof truth): number =>
    Math.max(
      ...[0, 40, 80, 200].map((i) =>
        distance(movePoint(motion, vertexAt(cloud.points, i)), movePoint(truth, vertexAt(cloud.points, i))),
      ),
    );

  it('finds the motion of an exact copy to a micrometre', () => {
    const fit = registerToSurface(cloud, surface, IDENTITY_MOTION, SETTINGS)!;
    expect(miss(fit.motion)).toBeLessThan(1e-3);
    expect(fit.nearShare).toBe(1);
    expect(fit.medianOffsetMm).toBeLessThan(1e-4);
  });

  it('keeps the place within a few micrometres under noise and a part that moved on its own', () => {
    const normal = seededNormal(3);
    const positions = target.positions.map((x) => x + 0.02 * normal());
    // A fifth of the shell is pushed out by 0.3 mm, as a filling would.
    for (let i = 0; i < positions.length / 3; i += 1) {
      if (positions[3 * i]! > 8) positions[3 * i] = positions[3 * i]! + 0.3;
    }
    const noisy = indexSurface({ positions, triangles: target.triangles });
    const fit = registerToSurface(cloud, noisy, IDENTITY_MOTION, SETTINGS)!;
    expect(miss(fit.motion)).toBeLessThan(0.012);
    expect(fit.nearShare).toBeGreaterThan(0.7);
    expect(fit.nearShare).toBeLessThan(1);
  });

  it('gives the inverse when the two change places', () => {
    const back = registerToSurface(
      sampleOrientedPoints(target, 1),
      indexSurface(shell),
      IDENTITY_MOTION,
      SETTINGS,
    )!;
    expect(miss(invertMotion(back.motion))).toBeLessThan(2e-3);
  });

  it('gives nothing where no surface lies within reach', () => {
    expect(
      registerToSurface(cloud, surface, { ...IDENTITY_MOTION, translation: [500, 0, 0] }, SETTINGS),
    ).toBeNull();
  });

  it('takes no partner that faces the other way', () => {
    const turned = { ...cloud, normals: cloud.normals.map((x) => -x) };
    expect(surfacePartners(turned, surface, truth, 1).isFound.some(Boolean)).toBe(false);
    expect(surfacePartners(cloud, surface, truth, 1).isFound.every(Boolean)).toBe(true);
  });

  it('says when the rounds ran out before it settled', () => {
    const few = registerToSurface(cloud, surface, IDENTITY_MOTION, { ...SETTINGS, mostRounds: 2 });
    expect(few!.isSettled).toBe(false);
    expect(registerToSurface(cloud, surface, IDENTITY_MOTION, SETTINGS)!.isSettled).toBe(true);
  });
});
