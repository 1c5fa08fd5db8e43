import { describe, expect, it } from 'vitest';
import { numberedOtherwiseWarnings } from '../../src/contacts/numbered-otherwise.ts';
import { IDENTITY_MOTION, type RigidMotion } from '../../src/geometry/rigid.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import type { ArchAlignment } from '../../src/teeth/align-arch.ts';
import type { ToothNumber } from '../../src/teeth/types.ts';
import { makeAnalysis } from '../helpers/make-analysis.ts';

const by = (translation: Vec3): RigidMotion => ({ ...IDENTITY_MOTION, translation });
const earlier = makeAnalysis({});
/** Where a crown came to lie: the pose of the scan, and its own 3 mm farther forward for every tooth from the first. */
const shiftOf = (k: number): Vec3 => [40, -7 + 3 * k, 3];

/** The same crowns on the new scan, each a little elsewhere by its border, under the numbers of a later day. */
function later(numberOf: (tooth: ToothNumber) => ToothNumber, borderMm = 0.8) {
  const teeth = earlier.teeth.map((record, k) => ({
    ...record,
    tooth: numberOf(record.tooth),
    centre: record.centre.map(
      (value, axis) => value + shiftOf(k)[axis]! + (axis === 0 ? borderMm : 0),
    ) as unknown as Vec3,
  }));
  return { teeth };
}

function aligned(sightingOf: (tooth: ToothNumber) => string = () => 'recognised') {
  const teeth = earlier.teeth.map(({ tooth }, k) => ({
    tooth,
    motion: by(shiftOf(k)),
    sighting: sightingOf(tooth),
  }));
  return { motion: by(shiftOf(0)), teeth } as unknown as ArchAlignment;
}

/** 17 to 15 one farther out, as where 14 was taken for absent. */
const oneOff = (tooth: ToothNumber): ToothNumber => (tooth >= 15 && tooth <= 17 ? tooth + 1 : tooth);
const same = (tooth: ToothNumber): ToothNumber => tooth;

describe('numberedOtherwiseWarnings', () => {
  it('names the crowns that bear other numbers on the new scan, in both numbers', () => {
    const found = numberedOtherwiseWarnings(earlier, later(oneOff), aligned());
    expect(found).toHaveLength(1);
    expect(found[0]!.code).toBe('NUMBERED_OTHERWISE');
    expect(found[0]!.sentence).toContain('new one: 17 is 18 there, 16 is 17 there, 15 is 16 there. Contacts');
    expect(found[0]!.teeth).toEqual([17, 18, 16, 15]);
  });

  it('says nothing where all bear the same, however far their teeth moved', () => {
    expect(numberedOtherwiseWarnings(earlier, later(same), aligned())).toEqual([]);
  });

  it('says nothing of crowns that were not recognised, or without an alignment', () => {
    const others = aligned((tooth) => (oneOff(tooth) === tooth ? 'recognised' : 'changed'));
    expect(numberedOtherwiseWarnings(earlier, later(oneOff), others)).toEqual([]);
    expect(numberedOtherwiseWarnings(earlier, later(oneOff), null)).toEqual([]);
  });

  // A wall that came into view moved the middle of a crown by 0.8 mm; crowded lower incisors lie 4.0 mm apart.
  it.each([
    ['one crown, its middle a little elsewhere', 1.9, 1],
    ['no longer one crown', 2.1, 0],
  ])('takes for %s what lies %f mm off', (_, borderMm, told) => {
    const [first] = earlier.teeth;
    const one = { teeth: later(() => 48, borderMm).teeth.slice(0, 1) };
    const { motion, teeth } = aligned();
    const alignment = { motion, teeth: teeth.slice(0, 1) } as unknown as ArchAlignment;
    const found = numberedOtherwiseWarnings({ teeth: [first!] }, one, alignment);
    expect(found).toHaveLength(told);
  });
});
