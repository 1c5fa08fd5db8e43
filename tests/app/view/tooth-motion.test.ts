// @vitest-environment node
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { crownMotion, movePoint } from '../../../src/app/view/tooth-motion.ts';
import type { ToothMotion } from '../../../src/closure/types.ts';
import type { Vec3 } from '../../../src/geometry/types.ts';
import type { OcclusalFrame } from '../../../src/teeth/types.ts';

/** A frame that stands askew: x along file z, y along file x, z along file y. */
const frame: OcclusalFrame = { origin: [0, 0, 0], x: [0, 0, 1], y: [1, 0, 0], z: [0, 1, 0] };
const motion = (dxMm: number, dyMm: number, rotationRad: number): ToothMotion => ({
  tooth: 11,
  mesialMm: 0,
  buccalMm: 0,
  rotationRad,
  dxMm,
  dyMm,
});

describe('crownMotion and movePoint', () => {
  it('shifts along the axes of the occlusal frame', () => {
    const moved = movePoint(crownMotion(motion(0.3, -0.2, 0), [5, 5, 5], frame, 1), [1, 2, 3]);
    expect(moved[0]).toBeCloseTo(0.8, 12);
    expect(moved[1]).toBeCloseTo(2, 12);
    expect(moved[2]).toBeCloseTo(3.3, 12);
  });

  it('turns counter-clockwise seen from the crowns’ tops, about the tooth’s centre', () => {
    // Seen from +y of the file, z to x is counter-clockwise.
    const moved = movePoint(crownMotion(motion(0, 0, Math.PI / 2), [10, 0, 0], frame, 1), [10, 4, 1]);
    expect(moved[0]).toBeCloseTo(11, 12);
    expect(moved[1]).toBeCloseTo(4, 12);
    expect(moved[2]).toBeCloseTo(0, 12);
  });

  it('takes the share of the motion that is asked for', () => {
    const half = crownMotion(motion(0.4, 0, 0.2), [0, 0, 0], frame, 0.5);
    expect(half.shift[2]).toBeCloseTo(0.2, 12);
    expect(half.angleRad).toBeCloseTo(0.1, 12);
    expect(movePoint(crownMotion(motion(0.4, 0.1, 0.2), [1, 2, 3], frame, 0), [4, 5, 6])).toEqual([4, 5, 6]);
  });

  it('keeps every distance within a crown', () => {
    expect.hasAssertions();
    const mm = fc.double({ min: -20, max: 20, noNaN: true });
    const point = fc.tuple(mm, mm, mm);
    fc.assert(
      fc.property(point, point, mm, mm, fc.double({ min: -1, max: 1, noNaN: true }), (p, q, dx, dy, turn) => {
        const rigid = crownMotion(motion(dx, dy, turn), [1, 2, 3], frame, 1);
        const far = (a: Vec3, b: Vec3): number => Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]);
        expect(far(movePoint(rigid, p), movePoint(rigid, q))).toBeCloseTo(far(p, q), 9);
      }),
      { seed: 11, numRuns: 100 },
    );
  });
});
