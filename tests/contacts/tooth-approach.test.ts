import { describe, expect, it } from 'vitest';
import { toothApproach } from '../../src/contacts/tooth-approach.ts';
import {
  IDENTITY_MOTION,
  movePoint,
  type RigidMotion,
  rotateDirection,
  rotationAbout,
} from '../../src/geometry/rigid.ts';
import type { ArchAlignment, ToothAlignment } from '../../src/teeth/align-arch.ts';
import { makeContact } from '../helpers/make-analysis.ts';

const shift = (x: number, y = 0): RigidMotion => ({ ...IDENTITY_MOTION, translation: [x, y, 0] });

function alignment(a: RigidMotion, b: RigidMotion, change: Partial<ToothAlignment> = {}): ArchAlignment {
  const one = (tooth: number, motion: RigidMotion): ToothAlignment => ({
    tooth,
    sighting: 'recognised',
    motion,
    nearShare: 1,
    medianOffsetMm: 0.005,
    shiftMm: 0,
  });
  return {
    motion: IDENTITY_MOTION,
    teeth: [one(13, a), { ...one(12, b), ...change }],
    medianOffsetMm: 0.005,
  };
}

const open = makeContact(13, 12, { status: 'open', gapMm: 0.3, u95Mm: 0.03 });
const bridged = makeContact(13, 12, { status: 'bridged', upperBoundMm: 0.24 });
const NO_SCANNERS = [undefined, undefined] as const;

describe('toothApproach', () => {
  it('is the shift along the contact, negative when the teeth came nearer', () => {
    for (const before of [open, bridged]) {
      const found = toothApproach(before, null, alignment(shift(0), shift(-0.2, 0.7)), NO_SCANNERS)!;
      expect(found.valueMm).toBeCloseTo(-0.2, 12);
      // 6 um of waviness on two scans of two teeth, k = 2.
      expect(found.u95Mm).toBeCloseTo(2 * 0.006 * 2, 9);
    }
  });

  it('does not see what both teeth did together', () => {
    const pose = rotationAbout([4, 5, 6], [1, 2, -1], 2.1, [30, -8, 11]);
    const found = toothApproach(open, null, alignment(pose, pose), NO_SCANNERS)!;
    expect(found.valueMm).toBeCloseTo(0, 9);
  });

  it('gives the same from the new scan as from the earlier one', () => {
    const a = rotationAbout([4, 5, 6], [1, 2, -1], 2.1, [30, -8, 11]);
    const b: RigidMotion = {
      rotation: a.rotation,
      translation: movePoint(a, [0.15, 0, 0]),
    };
    const p = movePoint(a, [0.3, 0, 0]);
    const after = {
      ...open,
      pointA: movePoint(a, [0, 0, 0]),
      pointB: p,
      closingDirection: rotateDirection(a, [1, 0, 0]),
    };
    const found = toothApproach(null, after, alignment(a, b), NO_SCANNERS)!;
    expect(found.valueMm).toBeCloseTo(0.15, 9);
  });

  it('widens with a turn, more so where only a web shows the place, and with a crown that fits badly', () => {
    const turned = alignment(IDENTITY_MOTION, rotationAbout([0, 0, 0], [0, 0, 1], 0.05));
    const measured = toothApproach(open, null, turned, NO_SCANNERS)!.u95Mm;
    const hidden = toothApproach(bridged, null, turned, NO_SCANNERS)!.u95Mm;
    // R theta^2 / 2 = 0.01 mm; half a millimetre times theta = 0.025 mm.
    expect(measured).toBeCloseTo(2 * Math.hypot(0.012, 0.01), 6);
    expect(hidden).toBeCloseTo(2 * Math.hypot(0.012, 0.01, 0.025), 6);
    const bad = alignment(IDENTITY_MOTION, IDENTITY_MOTION, { medianOffsetMm: 0.04 });
    expect(toothApproach(open, null, bad, NO_SCANNERS)!.u95Mm).toBeGreaterThan(0.08);
  });

  it('says nothing without both crowns or without a place', () => {
    const changed = alignment(shift(0), shift(0), { sighting: 'changed' });
    expect(toothApproach(open, open, changed, NO_SCANNERS)).toBeNull();
    const nowhere = { ...open, pointA: null, pointB: null };
    expect(toothApproach(nowhere, null, alignment(shift(0), shift(0)), NO_SCANNERS)).toBeNull();
    expect(toothApproach(null, null, alignment(shift(0), shift(0)), NO_SCANNERS)).toBeNull();
  });
});
