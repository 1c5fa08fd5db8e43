import { describe, expect, test } from 'vitest';
import { mortonOrder } from '../../src/geometry/morton-order.ts';
import { seededRandom } from '../../src/geometry/seeded-random.ts';
import type { TriangleMesh } from '../../src/geometry/types.ts';

/** A dense ball of small triangles, most of them in few cells, and two far corners that stretch the box. */
function dense(count: number, reach: number): TriangleMesh {
  const random = seededRandom(count);
  const positions = Float32Array.from({ length: 9 * count }, () => reach * random());
  positions.set([-100, -100, -100], 0);
  positions.set([100, 100, 100], 9);
  return { positions, triangles: Uint32Array.from({ length: 3 * count }, (_, i) => i) };
}

/** Bits of x, y and z in turn, one by one: G. M. Morton, 1966, without masks. */
function codeOf({ positions, triangles }: TriangleMesh, t: number, low: number, size: number): number {
  let code = 0;
  for (let bit = 9; bit >= 0; bit--) {
    for (let k = 0; k < 3; k++) {
      let sum = 0;
      for (let corner = 0; corner < 3; corner++) sum += positions[3 * triangles[3 * t + corner]! + k]!;
      const cell = Math.trunc((sum - 3 * low) * (1023 / (3 * size)));
      code = 2 * code + ((cell >> bit) & 1);
    }
  }
  return code;
}

describe('triangles in Morton order', () => {
  test.each([
    ['few to a part', 300, 100],
    ['many to a part', 6000, 3],
    ['all but two in one cell', 3000, 0.01],
  ])('as a stable sort by codes made bit by bit gives it: %s', (_, count, reach) => {
    const mesh = dense(count, reach);
    const codes = Array.from({ length: count }, (_, t) => codeOf(mesh, t, -100, 200));
    const expected = codes.map((_, t) => t).toSorted((a, b) => codes[a]! - codes[b]! || a - b);
    const found = mortonOrder(mesh);
    expect([...found.order]).toEqual(expected);
    expect([...found.codes]).toEqual(expected.map((t) => codes[t]));
  });

  test('of a subset: its own triangles, equal codes in the order given', () => {
    const mesh = dense(2000, 0.01);
    const subset = Uint32Array.from({ length: 900 }, (_, i) => 1999 - 2 * i);
    const { order, codes } = mortonOrder(mesh, subset);
    expect([...order].toSorted((a, b) => a - b)).toEqual([...subset].toReversed());
    for (let i = 1; i < order.length; i++) {
      expect(codes[i]!).toBeGreaterThanOrEqual(codes[i - 1]!);
      if (codes[i] === codes[i - 1]) expect(order[i]!).toBeLessThan(order[i - 1]!);
    }
  });

  test('of one triangle, and of none', () => {
    const mesh = dense(2, 1);
    expect([...mortonOrder(mesh, Uint32Array.of(1)).order]).toEqual([1]);
    expect(mortonOrder({ positions: new Float32Array(0), triangles: new Uint32Array(0) }).order).toHaveLength(
      0,
    );
  });
});
