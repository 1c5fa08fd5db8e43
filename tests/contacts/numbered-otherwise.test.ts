import { expect, it } from 'vitest';
import { numberedOtherwiseWarnings } from '../../src/contacts/numbered-otherwise.ts';
import type { RigidMotion } from '../../src/geometry/rigid.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import type { ArchAlignment } from '../../src/teeth/align-arch.ts';
import type { ToothNumber } from '../../src/teeth/types.ts';
import { makeAnalysis } from '../helpers/make-analysis.ts';

const SHIFT: Vec3 = [40, -7, 3];
const motion: RigidMotion = { rotation: [1, 0, 0, 0, 1, 0, 0, 0, 1], translation: SHIFT };
const earlier = makeAnalysis({});

/** The same crowns on a scan in another pose, each a little elsewhere by its border, under the numbers of a later day. */
function later(numberOf: (tooth: ToothNumber) => ToothNumber) {
  const teeth = earlier.teeth.map((record) => ({
    ...record,
    tooth: numberOf(record.tooth),
    centre: record.centre.map((value, k) => value + SHIFT[k]! + 0.5) as unknown as Vec3,
  }));
  return { teeth };
}

function aligned(sightingOf: (tooth: ToothNumber) => string = () => 'recognised') {
  const teeth = earlier.teeth.map(({ tooth }) => ({ tooth, motion, sighting: sightingOf(tooth) }));
  return { motion, teeth } as unknown as ArchAlignment;
}

/** 17 to 15 one farther out, as where 14 was taken for absent. */
const oneOff = (tooth: ToothNumber): ToothNumber => (tooth >= 15 && tooth <= 17 ? tooth + 1 : tooth);

it('names the crowns that bear other numbers on the new scan, in both numbers', () => {
  const found = numberedOtherwiseWarnings(earlier, later(oneOff), aligned());
  expect(found).toHaveLength(1);
  expect(found[0]!.code).toBe('NUMBERED_OTHERWISE');
  expect(found[0]!.sentence).toContain('new one: 17 is 18 there, 16 is 17 there, 15 is 16 there. Contacts');
  expect(found[0]!.teeth).toEqual([17, 18, 16, 15]);
});

it('says nothing where all bear the same, nor of crowns that were not recognised or without an alignment', () => {
  expect(
    numberedOtherwiseWarnings(
      earlier,
      later((tooth) => tooth),
      aligned(),
    ),
  ).toEqual([]);
  const others = aligned((tooth) => (oneOff(tooth) === tooth ? 'recognised' : 'changed'));
  expect(numberedOtherwiseWarnings(earlier, later(oneOff), others)).toEqual([]);
  expect(numberedOtherwiseWarnings(earlier, later(oneOff), null)).toEqual([]);
});
