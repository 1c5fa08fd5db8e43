import { describe, expect, it } from 'vitest';
import type { Vec3 } from '../../src/geometry/types.ts';
import { dot } from '../../src/geometry/vec3.ts';
import { crownFrames, inArchOrder, mouthScale } from '../../src/teeth/crown-frames.ts';
import type { PlacedTooth } from '../../src/teeth/occlusal-frame.ts';

const Z: Vec3 = [0, 0, 1];

/** Teeth in a straight row along x at the given places. */
function row(teeth: readonly number[], places: readonly number[]): PlacedTooth[] {
  return teeth.map((tooth, k) => ({ tooth, point: [places[k]!, 0, 0] }));
}

describe('crownFrames', () => {
  // Upper 15, 14, 13: MD 7, 7, 7.5; widths are 1.08 times that towards clicked neighbours.
  it('shares the space between neighbours by their widths', () => {
    const [first, middle, last] = crownFrames(row([15, 14, 13], [0, 7, 14.5]), Z, 1, []);
    expect(middle!.limitBackMm).toBeCloseTo(3.5, 10);
    expect(middle!.limitOnMm).toBeCloseTo((7.5 * 7) / 14.5, 10);
    expect(first!.limitBackMm).toBeCloseTo(7 / 2, 10);
    expect(last!.limitOnMm).toBeCloseTo(7.5 / 2, 10);
    expect(middle!.halfBuccolingualMm).toBeCloseTo(4.5, 10);
    expect(middle!.heightMm).toBeCloseTo(0.85 * 8.5, 10);
    expect(last!.heightMm).toBeCloseTo(0.95 * 10, 10);
    expect(middle!.m).toEqual([1, 0, 0]);
    expect(dot(middle!.b, middle!.m)).toBe(0);
  });

  it('keeps the limit between 0.3 and 0.65 of the width', () => {
    const width = 1.08 * 7;
    const far = crownFrames(row([15, 14], [0, 30]), Z, 1, []);
    expect(far[0]!.limitOnMm).toBeCloseTo(0.65 * width, 10);
    const near = crownFrames(row([15, 14], [0, 1]), Z, 1, []);
    expect(near[0]!.limitOnMm).toBeCloseTo(0.3 * width, 10);
  });

  it('ends a crown at its own half-width where the next tooth is not clicked, unless that one is missing', () => {
    const teeth = row([15, 13], [0, 14.5]);
    const width = 1.08 * 7;
    expect(crownFrames(teeth, Z, 1, [])[0]!.limitOnMm).toBeCloseTo(7 / 2, 10);
    expect(crownFrames(teeth, Z, 1, [14])[0]!.limitOnMm).toBeCloseTo(0.65 * width, 10);
  });

  it('calls a side free beside a missing tooth and behind the molars, nowhere else', () => {
    const free = (teeth: readonly number[], places: readonly number[], missing: readonly number[] = []) =>
      crownFrames(row(teeth, places), Z, 1, missing).map(({ freeBack, freeOn }) => [freeBack, freeOn]);
    // Behind a second molar there is none but a third one that nobody clicked; before an incisor one may stand unclicked.
    expect(free([17, 16, 15], [0, 10, 18])).toEqual([
      [true, false],
      [false, false],
      [false, false],
    ]);
    expect(free([26, 27], [0, 10])).toEqual([
      [false, false],
      [false, true],
    ]);
    // 14 is missing and its place stands open: 13 is more than 1.3 widths away.
    expect(free([15, 13], [0, 14.5], [14])).toEqual([
      [false, true],
      [true, false],
    ]);
    // Its neighbours have moved together, it was only not clicked, or the neighbours are diastemas apart: not free.
    expect(free([15, 13], [0, 8], [14]).flat()).not.toContain(true);
    expect(free([15, 13], [0, 14.5]).flat()).not.toContain(true);
    expect(free([12, 11], [0, 14.5]).flat()).not.toContain(true);
  });

  it('lets the arch go on turning by a quarter at its ends', () => {
    const angle = 0.3;
    const teeth: PlacedTooth[] = [
      { tooth: 13, point: [0, 0, 0] },
      { tooth: 12, point: [7, 0, 0] },
      { tooth: 11, point: [7 + 7 * Math.cos(angle), 7 * Math.sin(angle), 0] },
    ];
    const last = crownFrames(teeth, Z, 1, [])[2]!;
    expect(Math.atan2(last.m[1], last.m[0])).toBeCloseTo(1.25 * angle, 10);
  });

  it('gives a single tooth some direction in the plane', () => {
    const [only] = crownFrames(row([11], [0]), Z, 1, []);
    expect(Math.hypot(...only!.m)).toBeCloseTo(1, 12);
    expect(dot(only!.m, Z)).toBe(0);
  });
});

describe('mouthScale', () => {
  // Spacings of upper 17..13: 9.5, 8.5, 7, 7.25.
  const places = (factor: number): number[] => [0, 9.5, 18, 25, 32.25].map((x) => factor * x);
  it('is the median of spacing over textbook width, within 0.85 to 1.15', () => {
    const teeth = [17, 16, 15, 14, 13];
    expect(mouthScale(row(teeth, places(1.06)))).toBeCloseTo(1.06, 10);
    expect(mouthScale(row(teeth, places(0.5)))).toBe(0.85);
    expect(mouthScale(row(teeth, places(2)))).toBe(1.15);
  });

  it('is 1 with fewer than four neighbouring pairs', () => {
    expect(mouthScale(row([17, 16, 15, 13], [0, 12, 24, 50]))).toBe(1);
  });
});

describe('inArchOrder', () => {
  it('goes from the right to the left of the patient', () => {
    const teeth = [21, 17, 11, 27].map((tooth) => ({ tooth }));
    expect(inArchOrder(teeth).map(({ tooth }) => tooth)).toEqual([17, 11, 21, 27]);
  });
});
