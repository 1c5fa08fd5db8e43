import { readFileSync } from 'node:fs';
import Ajv2020 from 'ajv/dist/2020.js';
import { describe, expect, it } from 'vitest';
import { DEFAULT_PRACTICE, departures, readPractice, writePractice } from '../../src/closure/practice.ts';
import { DEFAULT_CLOSURE_SETTINGS } from '../../src/closure/settings.ts';

const OWN = {
  ...DEFAULT_PRACTICE,
  limitMm: 0.05,
  maxStages: 2,
  perStageRad: (2 * Math.PI) / 180,
  spanRule: 'terminal-molars' as const,
  noteBefore: 'Dear technician,\nplease read on.',
};

describe('preferences of a practice', () => {
  it('come back from their file, which satisfies the published schema', () => {
    const schema = new URL('../../docs/schemas/archgap-practice-1.json', import.meta.url);
    const validate = new Ajv2020({ allErrors: true, strict: true }).compile(
      JSON.parse(readFileSync(schema, 'utf8')),
    );
    for (const practice of [DEFAULT_PRACTICE, OWN]) {
      const text = writePractice(practice);
      validate(JSON.parse(text));
      expect(validate.errors ?? []).toEqual([]);
      const back = readPractice(text);
      expect({ ...back, perStageRad: 0 }).toEqual({ ...practice, perStageRad: 0 });
      expect(back.perStageRad).toBeCloseTo(practice.perStageRad, 9);
      expect(departures(back, practice)).toEqual([]);
    }
  });

  it('are refused whole when anything is wrong, naming it', () => {
    expect(() => readPractice('{')).toThrowError(/not JSON/);
    expect(() => readPractice('[]')).toThrowError(/^The preferences cannot be read/);
    const file = JSON.parse(writePractice(DEFAULT_PRACTICE));
    for (const [field, value] of [
      ['schema', 'archgap-plan/1'],
      ['limit_mm', -0.1],
      ['max_stages', 2.5],
      ['per_stage_mm', 'x'],
      ['per_stage_deg', 90],
      ['expression', 1.2],
      ['span_rule', 'longest'],
      ['note_after', 7],
    ] as const) {
      expect(() => readPractice(JSON.stringify({ ...file, [field]: value }))).toThrowError(
        new RegExp(
          `^The preferences cannot be read: "${field}": expected .*, found .*; correct them, or save them from the page again `,
        ),
      );
    }
  });

  it('a case tells where it departs', () => {
    expect(departures(DEFAULT_CLOSURE_SETTINGS, DEFAULT_PRACTICE)).toEqual([]);
    const texts = departures({ ...DEFAULT_CLOSURE_SETTINGS, expression: 0.7, perStageMm: 0.2 }, OWN);
    expect(texts.map((d) => d.text)).toEqual([
      'limit 0.10 mm (practice: 0.05 mm)',
      'at most 3 stages (practice: 2)',
      '0.20 mm per stage (practice: 0.25 mm)',
      '1.2° per stage (practice: 2.0°)',
      '70 % expressed (practice: 80 %)',
      'span: the shortest span that closes all (practice: last tooth to last tooth)',
    ]);
  });
});
