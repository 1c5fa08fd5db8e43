import { describe, expect, it } from 'vitest';
import { endsUnclicked, fitNeighbours, isSite } from '../../src/contacts/fit-neighbours.ts';
import { closestBetween, indexSurface } from '../../src/geometry/surface-distance.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { sphereMesh } from '../helpers/closed-meshes.ts';

const RADIUS = 3.5;
const ball = (x: number) => indexSurface(sphereMesh(RADIUS, 3, [x, 0, 0]));

/** A ball of 24 at 0 between balls of other numbers. */
function place(row: readonly (readonly [tooth: number, x: number])[]) {
  return {
    tooth: 24,
    centre: [0, 0, 0] as Vec3,
    jaw: 'upper' as const,
    missing: [],
    centres: new Map(row.map(([tooth, x]) => [tooth, [x, 0, 0] as Vec3])),
    distanceTo: (tooth: number) =>
      closestBetween(ball(0), ball(row.find(([one]) => one === tooth)![1])).distanceMm,
  };
}

describe('fitNeighbours', () => {
  it('finds the next tooth on either side with the distance of the surfaces', () => {
    const { right, left } = fitNeighbours(
      place([
        [22, -15],
        [23, -7.3],
        [25, 7.5],
      ]),
    );
    expect([right!.tooth, left!.tooth]).toEqual([23, 25]);
    expect(right!.distanceMm).toBeCloseTo(0.3, 1);
    expect([isSite(right!), isSite(left!)]).toEqual([false, false]);
  });

  it('tells a closed gap of absent teeth from their site by half of their textbook widths', () => {
    const closed = fitNeighbours(place([[22, -7.2]])).right!;
    expect([closed.tooth, closed.between, closed.unclicked, isSite(closed)]).toEqual([22, [23], [23], false]);
    const still = fitNeighbours(place([[22, -11]])).right!;
    expect([still.between, isSite(still)]).toEqual([[23], true]);
    // Canine, 7.5 mm by the textbook: 3.75 mm decide.
    expect(isSite({ ...still, distanceMm: 3.7 })).toBe(false);
    expect(isSite({ ...still, distanceMm: 3.8 })).toBe(true);
  });

  it('says null beyond the ends of the row, and whether a tooth may stand there without a click', () => {
    const row = place([[25, 7.2]]);
    expect(fitNeighbours(row).right).toBeNull();
    expect(endsUnclicked(row, true)).toBe(true);
    expect(endsUnclicked({ ...row, missing: [23] }, true)).toBe(false);
    // Third molars are absent unless clicked.
    expect([27, 28].map((tooth) => endsUnclicked({ ...row, tooth }, false))).toEqual([false, false]);
  });
});
