import { describe, expect, it } from 'vitest';
import { crownFrame } from '../../src/contacts/crown-frame.ts';
import { movePoint, rotateDirection, rotationAbout } from '../../src/geometry/rigid.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { distance, dot } from '../../src/geometry/vec3.ts';

/** Teeth on a half ellipse in the plane z = 0: x to the patient's left, y to the front. */
function row(teeth: readonly number[]): Map<number, Vec3> {
  return new Map(
    teeth.map((tooth, i): [number, Vec3] => {
      const a = Math.PI * ((i + 0.5) / teeth.length);
      return [tooth, [-25 * Math.cos(a), 35 * Math.sin(a), 0]];
    }),
  );
}

const UPPER = [16, 15, 14, 13, 12, 11, 21, 22, 23, 24, 25, 26];
const LOWER = [46, 45, 44, 43, 42, 41, 31, 32, 33, 34, 35, 36];

describe('crownFrame', () => {
  it('upper: seen in the patient x left, y front, z down is right-handed; lower: z up', () => {
    for (const [teeth, jaw, z] of [
      [UPPER, 'upper', 1],
      [LOWER, 'lower', -1],
    ] as const) {
      const { frame, occlusalKnown } = crownFrame(row(teeth), jaw, () => 0);
      expect(occlusalKnown).toBe(true);
      expect(distance(frame.x, [1, 0, 0])).toBeLessThan(1e-9);
      expect(distance(frame.y, [0, 1, 0])).toBeLessThan(1e-9);
      // in these axes x = left, y = front; their product points down in a living head
      expect(frame.z[2]).toBeCloseTo(z, 9);
    }
  });

  it('moves with the crowns, works for one side only and puts the origin at the tops', () => {
    const motion = rotationAbout([0, 0, 0], [1, 2, -0.4], 2, [5, -60, 8]);
    const centres = new Map(
      [...row(UPPER)].slice(0, 7).map(([t, p]): [number, Vec3] => [t, movePoint(motion, p)]),
    );
    const { frame } = crownFrame(centres, 'upper', (tooth, z) => dot(centres.get(tooth)!, z) + 3.5);
    const down = rotateDirection(motion, [0, 0, 1]);
    expect(dot(frame.z, down)).toBeCloseTo(1, 6);
    const height = dot(frame.origin, frame.z) - dot(centres.get(13)!, frame.z);
    expect(height).toBeCloseTo(3.5, 6);
  });

  it('says that teeth in a line show no occlusal direction', () => {
    const line = new Map<number, Vec3>([
      [15, [0, 0, 0]],
      [14, [7, 0, 0.1]],
      [13, [14, 0.1, 0]],
    ]);
    const { frame, occlusalKnown } = crownFrame(line, 'upper', () => 0);
    expect(occlusalKnown).toBe(false);
    expect(Math.abs(dot(frame.z, frame.x))).toBeLessThan(1e-9);
  });
});
