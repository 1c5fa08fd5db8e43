import { describe, expect, it } from 'vitest';
import { joinPoints } from '../../src/geometry/join-points.ts';

describe('joinPoints', () => {
  it('puts points behind one another, empty parts and none at all included', () => {
    expect([...joinPoints(Float32Array.of(1, 2, 3), [], Float64Array.of(4, 5, 6, 7, 8, 9))]).toEqual([
      1, 2, 3, 4, 5, 6, 7, 8, 9,
    ]);
    expect(joinPoints()).toHaveLength(0);
  });
});
