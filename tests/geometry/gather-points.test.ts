import { expect, test } from 'vitest';
import { gatherPoints } from '../../src/geometry/gather-points.ts';

test('gives the points asked for, in that order and as often', () => {
  const points = Float32Array.of(0, 1, 2, 10, 11, 12, 20, 21, 22);
  expect([...gatherPoints(points, [2, 0, 2])]).toEqual([20, 21, 22, 0, 1, 2, 20, 21, 22]);
  expect(gatherPoints(points, new Uint32Array(0))).toHaveLength(0);
});
