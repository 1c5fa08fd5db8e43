import { readFileSync } from 'node:fs';
import * as v from 'valibot';
import { describe, expect, it } from 'vitest';
import { emptyInputs } from '../../src/app/kernel/case-inputs.ts';
import { archInputsSchema } from '../../src/casefile/arch-inputs-schema.ts';
import { readPractice } from '../../src/closure/practice.ts';
import { makeCaseArch } from './make-case.ts';

interface Range {
  readonly type: unknown;
  readonly minimum: number;
  readonly maximum: number;
}

const file = new URL('../../docs/schemas/archgap-case-1.json', import.meta.url);
const { inputs } = JSON.parse(readFileSync(file, 'utf8')).$defs;
const { closure, limit_mm: limit } = inputs.properties;
const read = (value: unknown): boolean => v.is(archInputsSchema, value);
const base = makeCaseArch().inputs;

describe('what a case may hold', () => {
  it.each([
    ['limitMm', limit, (limitMm) => ({ ...base, limitMm })],
    ...(
      [
        ['maxStages', 'max_stages'],
        ['perStageMm', 'per_stage_mm'],
        ['perStageRad', 'per_stage_rad'],
        ['expression', 'expression'],
        ['rotationArmMm', 'rotation_arm_mm'],
      ] as const
    ).map(([key, name]): [string, Range, (value: number) => unknown] => [
      key,
      closure.properties[name],
      (value) => ({ ...base, closure: { ...base.closure, [key]: value } }),
    ]),
    [
      'targetMm',
      closure.properties.targets.items.properties.target_mm,
      (targetMm) => ({
        ...base,
        closure: { ...base.closure, targets: [{ toothA: 36, toothB: 35, targetMm }] },
      }),
    ],
  ] satisfies [string, Range, (value: number) => unknown][])(
    '%s: reaches as far as the schema in the documents says, and no farther',
    (_, { type, minimum, maximum }, withValue) => {
      const step = type === 'integer' ? 1 : 1e-6;
      expect([minimum, maximum].map((value) => read(withValue(value)))).toEqual([true, true]);
      expect([minimum - step, maximum + step].map((value) => read(withValue(value)))).toEqual([false, false]);
    },
  );

  it.each([
    [0, 1, 0.01, 0.1, 0.1],
    [5, 99, 2, 10, 1],
  ])('takes a case that begins with a practice at its ends: limit %f mm, %i stages', (...values) => {
    const [limit_mm, max_stages, per_stage_mm, per_stage_deg, expression] = values;
    const terms = { limit_mm, max_stages, per_stage_mm, per_stage_deg, expression };
    const words = { span_rule: 'shortest', note_before: '', note_after: '' };
    const practice = readPractice(JSON.stringify({ schema: 'archgap-practice/1', ...terms, ...words }));
    // A case that could be kept and not be read again would be lost.
    expect(read(emptyInputs(practice))).toBe(true);
  });
});
