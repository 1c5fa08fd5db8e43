import { readFileSync } from 'node:fs';
import Ajv2020 from 'ajv/dist/2020.js';
import { describe, expect, it } from 'vitest';
import { writeCompareJson } from '../../src/report/compare-json.ts';
import { EARLIER, FOLLOW_UP } from '../helpers/make-changes.ts';

const validate = new Ajv2020({ allErrors: true, strict: true, allowUnionTypes: true }).compile(
  JSON.parse(readFileSync(new URL('../../docs/schemas/archgap-compare-1.json', import.meta.url), 'utf8')),
);
const written = (followUp: typeof FOLLOW_UP) =>
  JSON.parse(writeCompareJson(EARLIER, followUp, { version: '1.2.3', planned: true }));

describe('writeCompareJson', () => {
  const document = written(FOLLOW_UP);

  it('keeps to its schema, with an alignment and without', () => {
    for (const one of [document, written({ ...FOLLOW_UP, alignment: null })]) {
      expect(validate(one), JSON.stringify(validate.errors)).toBe(true);
    }
    expect(written({ ...FOLLOW_UP, alignment: null }).alignment).toBeNull();
  });

  it('gives the motion between the coordinates of the two files, not between scan frames', () => {
    // A quarter turn takes x to y. The earlier frame begins at (100, 0, 0) of its file, the new one at (0, 20, 0):
    // x -> R (x - (100, 0, 0)) + (5, 0, 0) + (0, 20, 0), so that t = (5, 20 - 100, 0).
    const { motion, recognised, median_offset_mm } = document.alignment;
    expect(motion.rotation.map((value: number) => Math.round(value))).toEqual([0, -1, 0, 1, 0, 0, 0, 0, 1]);
    expect(motion.translation_mm).toEqual([5, -80, 0]);
    expect([recognised, median_offset_mm]).toEqual([3, 0.012]);
  });

  it('gives each crown’s own motion in the earlier occlusal frame, and none of a crown that was not recognised', () => {
    const [, still, changed, moved] = document.alignment.teeth;
    expect(still.own_motion).toEqual({ left_mm: 0, front_mm: 0, occlusal_mm: 0, turn_deg: 0 });
    expect([changed.sighting, changed.own_motion, changed.median_offset_mm]).toEqual(['changed', null, null]);
    expect(moved.own_motion).toMatchObject({ left_mm: 0.2, front_mm: 0, occlusal_mm: 0 });
  });

  it('says of every contact what both scans say, what changed, and what the plan expected', () => {
    const [narrower, opened, unknown] = document.contacts;
    expect(narrower).toMatchObject({
      tooth_a: '12',
      change: 'partly-closed',
      difference: { value_mm: -0.25, u95_mm: 0.042 },
      plan: { planned_mm: 0.1, standing: 'short-of-plan', expressed_share: 0.8333 },
    });
    expect(opened).toMatchObject({
      before: { status: 'bridged', gap_mm: null, gap_u95_mm: null, upper_bound_mm: 0.25 },
      difference: null,
      range_mm: [0.02, 0.35],
      carried: { scan: 'earlier', value_mm: 0.11, u95_mm: 0.045 },
      plan: null,
    });
    expect(unknown).toMatchObject({ before: null, range_mm: null, approach: null });
    expect(document.warnings.map(({ code }: { code: string }) => code)).toEqual(['TOOTH_CHANGED']);
  });
});
