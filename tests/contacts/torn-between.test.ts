import { describe, expect, it } from 'vitest';
import type { ToothSurface } from '../../src/contacts/arch-surface.ts';
import { tornBetween } from '../../src/contacts/torn-between.ts';

/** A tooth of which only the line counts where it ends at an open edge: edges of 0.2 mm upwards at x, or downwards. */
function cutAt(x: number, edges: number, { down = false, shift = 0 } = {}): ToothSurface {
  const line: number[] = [];
  for (let k = 0; k < edges; k++) {
    const [from, to] = down ? [k + 1, k] : [k, k + 1];
    line.push(x, 0, 0.2 * from + shift, x, 0, 0.2 * to + shift);
  }
  const none = new Uint32Array(0);
  return {
    tooth: 11,
    triangles: none,
    vertices: none,
    gumLine: new Float64Array(0),
    cutLine: Float64Array.from(line),
  };
}

describe('a scan torn between two teeth', () => {
  it.each([
    ['ends that face each other', 0.02, 0],
    ['ends that do not', 0.04, 0.07],
  ])('%s', (_, x, shift) => {
    const other = cutAt(x, 10, { down: true, shift });
    expect([tornBetween(cutAt(0, 10), other), tornBetween(other, cutAt(0, 10))]).toEqual([true, true]);
  });

  it('one long edge against many short ones counts by the short ones', () => {
    const long = cutAt(0, 1, { down: true });
    const stretched = { ...long, cutLine: long.cutLine.map((c) => 10 * c) };
    expect([tornBetween(stretched, cutAt(0.02, 9)), tornBetween(cutAt(0.02, 9), stretched)]).toEqual([
      true,
      true,
    ]);
  });

  it.each([
    ['farther apart than 0.05 mm', cutAt(0.06, 10, { down: true })],
    ['edges that run the same way: one surface over another', cutAt(0.02, 10)],
    ['a stray few', cutAt(0.02, 7, { down: true })],
    ['no open edge', cutAt(0, 0)],
  ])('not torn: %s', (_, other) => {
    expect(tornBetween(cutAt(0, 10), other)).toBe(false);
  });
});
