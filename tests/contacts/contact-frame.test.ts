import { describe, expect, it } from 'vitest';
import { contactFrame } from '../../src/contacts/contact-frame.ts';
import type { OcclusalFrame } from '../../src/teeth/types.ts';

describe('contactFrame', () => {
  // upper jaw: z (crowns' tops) points down; x to the patient's left, y to the front
  const upper: OcclusalFrame = { origin: [0, 0, 0], x: [1, 0, 0], y: [0, -1, 0], z: [0, 0, -1] };
  const lower: OcclusalFrame = { origin: [0, 0, 0], x: [1, 0, 0], y: [0, -1, 0], z: [0, 0, 1] };

  it('buccal is to the front at the incisors of either jaw', () => {
    for (const [frame, jaw] of [
      [upper, 'upper'],
      [lower, 'lower'],
    ] as const) {
      const { t, o, b } = contactFrame(frame, jaw, [2, 0, 1]);
      expect(t).toEqual([1, 0, 0]);
      expect(o).toEqual(frame.z);
      expect(b[1]).toBeCloseTo(-1, 12);
    }
  });

  it('buccal is to the left at the left molars, where the arch runs backwards', () => {
    for (const [frame, jaw] of [
      [upper, 'upper'],
      [lower, 'lower'],
    ] as const) {
      expect(contactFrame(frame, jaw, [0, 1, 0]).b[0]).toBeCloseTo(1, 12);
    }
  });

  it('refuses a direction without a part in the occlusal plane', () => {
    expect(() => contactFrame(upper, 'upper', [0, 0, 4])).toThrow(RangeError);
  });
});
