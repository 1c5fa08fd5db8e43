import { beforeAll, describe, expect, it } from 'vitest';
import type { Vec3 } from '../../src/geometry/types.ts';
import { cross, dot } from '../../src/geometry/vec3.ts';
import { templatePlace } from '../../src/teeth/arch-template.ts';
import { fitOcclusalFrame, frameAround, occlusalAxis } from '../../src/teeth/occlusal-frame.ts';
import type { Jaw, ToothNumber } from '../../src/teeth/types.ts';
import { LABELLED_CASES, type LabelledCase, readLabelledCase, sharedDataPresent } from './shared-scans.ts';

const degrees = (a: Vec3, b: Vec3): number => (Math.acos(Math.min(1, dot(a, b))) * 180) / Math.PI;

/** Teeth of the textbook arch in a scan frame where x, y, z of the arch are the given directions. */
function placeTeeth(teeth: readonly ToothNumber[], jaw: Jaw, x: Vec3, y: Vec3) {
  return teeth.map((tooth) => {
    const [u, v] = templatePlace(tooth, jaw);
    return { tooth, point: [0, 1, 2].map((k) => u * x[k]! + v * y[k]!) as unknown as Vec3 };
  });
}

describe('frameAround', () => {
  const z: Vec3 = [0, 0.6, 0.8];
  const x: Vec3 = [1, 0, 0];
  it.each([
    ['upper', [17, 16, 15, 14, 13, 12, 11, 21, 22, 23, 24, 25, 26, 27]],
    ['lower', [47, 46, 45, 44, 43, 42, 41, 31, 32, 33, 34, 35, 36, 37]],
    ['upper', [24, 25, 26]],
    ['lower', [46, 45]],
    ['upper', [13]],
  ] as [Jaw, ToothNumber[]][])('finds left and front of %s %j', (jaw, teeth) => {
    // Left, front and up are right-handed in the upper jaw only.
    const y = jaw === 'upper' ? cross(z, x) : cross(x, z);
    const frame = frameAround(z, placeTeeth(teeth, jaw, x, y), jaw, [0, 0, 0]);
    expect(degrees(frame.x, x)).toBeLessThan(1e-4);
    expect(degrees(frame.y, y)).toBeLessThan(1e-4);
    expect(frame.z).toEqual(z);
  });
});

describe('occlusalAxis of a model with a closed base', () => {
  const UPPER: ToothNumber[] = [17, 16, 15, 14, 13, 12, 11, 21, 22, 23, 24, 25, 26, 27];
  // Crowns' tops a little above and below one plane, in turn.
  const teeth = (numbers: readonly ToothNumber[], roughMm: number) =>
    placeTeeth(numbers, 'upper', [1, 0, 0], [0, 1, 0]).map(({ tooth, point: [u, v] }, k) => ({
      tooth,
      point: [u, v, k % 2 === 0 ? roughMm : -roughMm] as Vec3,
    }));
  // No net normal: the surface near the clicks leans forward by so many degrees.
  const leaning = (deg: number) => {
    const lean = (deg * Math.PI) / 180;
    const nearClicks: Vec3 = [0, 200 * Math.sin(lean), 200 * Math.cos(lean)];
    return { nearClicks, total: [0, 0, 0] as Vec3, areaMm2: 10_000 };
  };
  const tiltDeg = (deg: number, numbers = UPPER, roughMm = 0.3) =>
    degrees(occlusalAxis(leaning(deg), teeth(numbers, roughMm)), [0, 0, 1]);

  it('clicks that plainly span a plane lead, however far the surface leans forward', () => {
    for (const deg of [40, 59, 61, 75]) expect(tiltDeg(deg)).toBeLessThan(16);
    expect(tiltDeg(79)).toBeCloseTo(79, 6);
  });

  it('where they do not, the surface has to agree within 60 degrees', () => {
    expect(tiltDeg(59, UPPER, 5)).toBeLessThan(16);
    expect(tiltDeg(61, UPPER, 5)).toBeCloseTo(61, 6);
  });
});

describe('occlusalAxis where the clicks lie nearly in a line', () => {
  const LEAN = -0.25;
  // Five teeth of a lower side on a curve of Spee of 3 mm, deepest at the middle: they span an upright plane, plainly.
  const side: ToothNumber[] = [33, 34, 35, 36, 37];
  const teeth = placeTeeth(side, 'lower', [1, 0, 0], [0, 1, 0]).map(({ tooth, point: [u, v] }, k) => ({
    tooth,
    point: [u, v, -0.75 * k * (4 - k)] as Vec3,
  }));
  const nearClicks: Vec3 = [200 * LEAN, 0, 200];

  it.each([
    ['an open scan', [3000 * LEAN, 0, 3000] as Vec3],
    ['a closed base', [0, 0, 0] as Vec3],
  ])('%s: a plane that the surface contradicts by more than 60 degrees does not count', (_, total) => {
    const axis = occlusalAxis({ nearClicks, total, areaMm2: 6000 }, teeth);
    expect(degrees(axis, [0, 0, 1])).toBeLessThan(18);
  });
});

describe.runIf(sharedDataPresent())('fitOcclusalFrame on labelled scans', () => {
  describe.each(LABELLED_CASES.slice(1))('%s', (name) => {
    let labelled: LabelledCase;
    beforeAll(() => {
      labelled = readLabelledCase(name);
    });

    it.each(['clicks.json', 'clicks-alt.json'])('lies within 8 degrees of the truth with %s', (file) => {
      const frame = fitOcclusalFrame(labelled.scan, labelled.clicks.get(file)!);
      expect(degrees(frame.z, labelled.facts!.occlusal_direction)).toBeLessThan(8);
      expect(degrees(frame.y, labelled.facts!.anterior_direction)).toBeLessThan(8);
      expect(dot(frame.x, frame.y)).toBeCloseTo(0, 6);
      expect(dot(frame.x, frame.z)).toBeCloseTo(0, 6);
    });

    it('lies within 12 degrees with the left quadrant alone and within 20 with three teeth', () => {
      const set = labelled.clicks.get('clicks.json')!;
      const left = { ...set, clicks: set.clicks.slice(7) };
      const three = { ...set, clicks: set.clicks.slice(2, 5) };
      expect(
        degrees(fitOcclusalFrame(labelled.scan, left).z, labelled.facts!.occlusal_direction),
      ).toBeLessThan(12);
      expect(
        degrees(fitOcclusalFrame(labelled.scan, three).z, labelled.facts!.occlusal_direction),
      ).toBeLessThan(20);
    });
  });

  it('refuses a set without a tooth', () => {
    const { scan } = readLabelledCase('real/arch-upper');
    const gum = {
      jaw: 'upper' as const,
      clicks: [{ tooth: 'gum' as const, point: [0, 0, 0] as Vec3 }],
      missing: [],
      fixed: [],
    };
    expect(() => fitOcclusalFrame(scan, gum)).toThrow(expect.objectContaining({ code: 'NO_CLICKS' }));
  });
});
