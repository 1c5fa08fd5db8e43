// @vitest-environment node
import { expect, it } from 'vitest';
import { guessSight } from '../../../src/app/view/guess-sight.ts';
import { scanSight } from '../../../src/app/view/scan-sight.ts';
import { sphere } from './sphere.ts';

it('encloses a small scan by all its vertices, and guesses nothing of a ball, which looks the same from every side', () => {
  const ball = sphere(20, 5);
  const { points, centre, radiusMm, guess } = scanSight(ball);
  expect(points).toEqual(ball.positions);
  for (const coordinate of centre) expect(coordinate).toBeCloseTo(0, 6);
  // Around the middle of the box: the ball itself.
  expect(radiusMm).toBeCloseTo(5, 5);
  expect(guess).toBeNull();
});

it('looks at a heavy scan by some of its vertices, each with its own normal', () => {
  // Half a ring, open below: a point every 0.01 mm, of which the normals point up.
  const count = 24_000;
  const positions = new Float32Array(3 * count);
  const normals = new Float32Array(3 * count);
  for (let i = 0; i < count; i++) {
    const angle = (Math.PI * i) / (count - 1);
    positions.set([25 * Math.cos(angle), 25 * Math.sin(angle), 0], 3 * i);
    normals.set([0, 0, 1], 3 * i);
  }
  const { points, centre, radiusMm, guess } = scanSight({ positions, normals });
  expect(points.length / 3).toBe(6000);
  expect(centre[1]).toBeCloseTo(12.5, 2);
  // From the middle of its box to the ends of the half ring.
  expect(radiusMm).toBeCloseTo(Math.hypot(25, 12.5), 1);
  const thinned = guessSight(
    positions.filter((_, i) => Math.floor(i / 3) % 4 === 0),
    normals.filter((_, i) => Math.floor(i / 3) % 4 === 0),
  );
  expect(guess).toEqual(thinned);
  expect(guess!.back[2]).toBeCloseTo(1, 6);
  // The front of the arch, where the ring is closed, is up.
  expect(guess!.up[1]).toBeCloseTo(1, 2);
});
