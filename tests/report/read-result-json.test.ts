import { readFileSync } from 'node:fs';
import Ajv2020 from 'ajv/dist/2020.js';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Analysis } from '../../src/contacts/types.ts';
import { ArchgapError } from '../../src/geometry/archgap-error.ts';
import { readResultJson } from '../../src/report/read-result-json.ts';
import { writeResultJson } from '../../src/report/write-result-json.ts';
import { makeAnalysis, threeSpaces } from '../helpers/make-analysis.ts';

const schema = JSON.parse(
  readFileSync(new URL('../../docs/schemas/archgap-result-1.json', import.meta.url), 'utf8'),
);
const validate = new Ajv2020({ allErrors: true, strict: true, allowUnionTypes: true }).compile(schema);
const FITTED = {
  origin: [1, 2, 3],
  u: [1, 0, 0],
  v: [0, 1, 0],
  w: [0, 0, 1],
  radiusMm: 1.2,
  degree: 2,
  a: [0, 0.1, 0.2, 0.3, 0.4, 0.5],
  b: [1, 0, 0, 0.1, 0, 0.1],
} as const;
const META = { version: '0.1.0' };

/** The document with one place changed; paths as `contacts.3.gap_mm`. */
function changed(text: string, path: string, value: unknown): string {
  const document = JSON.parse(text);
  const parts = path.split('.');
  const last = parts.pop()!;
  let at = document;
  for (const part of parts) at = at[part];
  if (value === undefined) delete at[last];
  else at[last] = value;
  return JSON.stringify(document);
}

function fault(text: string): ArchgapError {
  try {
    readResultJson(text);
  } catch (error) {
    if (error instanceof ArchgapError) return error;
    throw error;
  }
  throw new Error('The text was read without complaint.');
}

describe('writeResultJson', () => {
  it('satisfies the published JSON Schema', () => {
    expect.assertions(3);
    const crowns: Analysis = {
      ...threeSpaces(),
      kind: 'crowns',
      health: null,
      settings: {
        limitMm: 0.1,
        scanner: {
          name: 'bench',
          wavinessMm: 0.006,
          scaleShare: 0.002,
          systematicHalfWidthMm: 0.02,
          systematicBelowMm: 0.5,
          noBridgeGapMm: 0.4,
          noiseAllowanceMm: 0.025,
        },
      },
    };
    for (const analysis of [threeSpaces(), crowns, makeAnalysis({ jaw: 'lower', missing: [44] })]) {
      validate(JSON.parse(writeResultJson(analysis, META)));
      expect(validate.errors ?? []).toEqual([]);
    }
  });

  it('writes points in file coordinates', () => {
    const near = JSON.parse(writeResultJson(threeSpaces(), META));
    const far = JSON.parse(writeResultJson({ ...threeSpaces(), originMm: [1000, -20, 5] }, META));
    const [x, y, z] = near.contacts[4].point_a;
    expect(far.contacts[4].point_a).toEqual([x + 1000, y - 20, z + 5]);
    expect(far.contacts[4].closing_direction).toEqual(near.contacts[4].closing_direction);
  });

  it('refuses a number that JSON would turn into null', () => {
    const analysis = threeSpaces();
    const [first, ...rest] = analysis.contacts;
    const broken = { ...analysis, contacts: [{ ...first!, heightMm: Number.NaN }, ...rest] };
    expect(() => writeResultJson(broken, META)).toThrow(/height_mm/);
  });
});

describe('readResultJson', () => {
  it('gives back exactly what was written', () => {
    const analysis = threeSpaces();
    const [first, ...rest] = analysis.contacts;
    const full: Analysis = {
      ...analysis,
      contacts: [
        {
          ...first!,
          angleRad: 0.1,
          coarseEdgeMm: 0.4,
          contactAreas: { within20umMm2: 0.2, within50umMm2: 0.9 },
          crownContact: {
            buccalMm: -0.3,
            a: { overlapMm: 0.02, within20umMm2: 0.2, within50umMm2: 0.9 },
            b: { overlapMm: null, within20umMm2: 0.2, within50umMm2: 0.9 },
          },
          fittedWalls: FITTED,
        },
        ...rest,
      ],
      warnings: [{ code: 'TOOTH_SMALL', sentence: 'Tooth 12 is small.' }],
    };
    expect(readResultJson(writeResultJson(full, META))).toEqual(full);
  });

  it('notes in a result from before that note that a tooth was not clicked; of separate crowns nobody clicks one', () => {
    const said = makeAnalysis({ missing: [14, 25] });
    const notesOf = (analysis: Analysis) =>
      readResultJson(writeResultJson(analysis, META))
        .contacts.filter(({ status }) => status === 'missing-tooth')
        .map(({ toothA, notes }) => [toothA, ...notes]);
    const unsaid = { ...said, missing: [14] };
    expect(notesOf(unsaid)).toEqual([[15], [24, 'not-clicked']]);
    // What it notes is read back as it is.
    expect(notesOf(readResultJson(writeResultJson(unsaid, META)))).toEqual(notesOf(unsaid));
    expect(notesOf(said)).toEqual([[15], [24]]);
    expect(notesOf({ ...unsaid, kind: 'crowns' })).toEqual([[15], [24]]);
  });

  it('gives back any finite numbers, in every bit when the origin is zero', () => {
    const value = fc.double({ min: -50, max: 50, noNaN: true }).map((x) => x + 0);
    fc.assert(
      fc.property(value, fc.double({ min: 1e-9, max: 9, noNaN: true }), value, (gapMm, u95Mm, height) => {
        const analysis = makeAnalysis({ contacts: { '11-21': { status: 'open', gapMm, u95Mm } } });
        const contacts = analysis.contacts.map((contact) => ({ ...contact, heightMm: height + 0 }));
        const back = readResultJson(writeResultJson({ ...analysis, contacts }, META));
        const found = back.contacts.find((contact) => contact.toothA === 11);
        expect(found?.gap?.valueMm).toBe(gapMm === 0 ? 0 : gapMm);
        expect(found?.gap?.u95Mm).toBe(u95Mm);
        expect(found?.heightMm).toBe(height + 0);
      }),
      { seed: 20261125, numRuns: 60 },
    );
  });

  it('gives back points of a scan far from its origin to a nanometre', () => {
    const analysis = { ...threeSpaces(), originMm: [1e5, -3e4, 12.5] as const };
    const back = readResultJson(writeResultJson(analysis, META));
    for (const [k, contact] of analysis.contacts.entries()) {
      for (const axis of [0, 1, 2]) {
        expect(back.contacts[k]?.pointA?.[axis]).toBeCloseTo(contact.pointA?.[axis] ?? Number.NaN, 6);
      }
    }
    expect(back.originMm).toEqual(analysis.originMm);
  });

  it('reads a text that begins with a byte order mark', () => {
    expect(readResultJson(`\uFEFF${writeResultJson(threeSpaces(), META)}`).contacts).toHaveLength(13);
  });

  const text = writeResultJson(threeSpaces(), META);
  it.each([
    ['no JSON', 'spaces: 3', 'RESULT_NOT_JSON', /measure/],
    ['a JSON list', '[]', 'RESULT_WRONG_SCHEMA', /no schema name/],
    ['null', 'null', 'RESULT_WRONG_SCHEMA', /no schema name/],
    ['another schema', '{"schema":"archgap-plan/1"}', 'RESULT_WRONG_SCHEMA', /"archgap-plan\/1"/],
    ['a missing field', changed(text, 'teeth', undefined), 'RESULT_INVALID', /teeth/],
    [
      'a word for a number',
      changed(text, 'contacts.4.gap_mm', '0.25'),
      'RESULT_INVALID',
      /contacts\.4\.gap_mm/,
    ],
    [
      'a space without uncertainty',
      changed(text, 'contacts.4.gap_u95_mm', null),
      'RESULT_INVALID',
      /contacts\.4/,
    ],
    [
      'a space at a bridged contact',
      changed(text, 'contacts.4.status', 'bridged'),
      'RESULT_INVALID',
      /bridged/,
    ],
    [
      'an unknown status',
      changed(text, 'contacts.0.status', 'ajar'),
      'RESULT_INVALID',
      /contacts\.0\.status/,
    ],
    ['a tooth that is none', changed(text, 'teeth.0.tooth', '19'), 'RESULT_INVALID', /ISO 3950/],
    ['a tooth of the other jaw', changed(text, 'teeth.0.tooth', '47'), 'RESULT_INVALID', /upper jaw/],
    ['a tooth twice', changed(text, 'teeth.0.tooth', '16'), 'RESULT_INVALID', /twice/],
    [
      'a contact of an absent tooth',
      changed(text, 'contacts.0.tooth_a', '18'),
      'RESULT_INVALID',
      /not in the list/,
    ],
    [
      'a contact against the order',
      changed(text, 'contacts.1.tooth_b', '17'),
      'RESULT_INVALID',
      /arch order/,
    ],
    [
      'a row left out in the middle',
      changed(text, 'contacts', JSON.parse(text).contacts.toSpliced(3, 1)),
      'RESULT_INVALID',
      /contacts\.3: found/,
    ],
    [
      'a row left out at the end',
      changed(text, 'contacts', JSON.parse(text).contacts.slice(0, -1)),
      'RESULT_INVALID',
      /is missing/,
    ],
    [
      'a row twice',
      changed(text, 'contacts', [...JSON.parse(text).contacts, JSON.parse(text).contacts.at(-1)]),
      'RESULT_INVALID',
      /a row more/,
    ],
    ['a tooth miles away', changed(text, 'teeth.3.centre', [0, 2e6, 0]), 'RESULT_INVALID', /1000 mm/],
    [
      'a contact point miles away',
      changed(text, 'contacts.4.point_b', [0, 0, -1e9]),
      'RESULT_INVALID',
      /contacts\.4\.point_b/,
    ],
    ['a short hash', changed(text, 'sources.0.sha256', 'abc'), 'RESULT_INVALID', /sha256/],
    ['no source', changed(text, 'sources', []), 'RESULT_INVALID', /at least one/],
  ])('refuses %s with a sentence', (_name, broken, code, sentence) => {
    const error = fault(broken);
    expect(error.code).toBe(code);
    expect(error.kind).toBe('input');
    expect(error.message).toMatch(sentence);
  });

  it('does not let prototype keys through', () => {
    const sneaky = text.replace('"kind"', '"__proto__": {"polluted": true}, "kind"');
    const analysis = readResultJson(sneaky);
    expect('polluted' in analysis).toBe(false);
    expect('polluted' in {}).toBe(false);
  });
});
