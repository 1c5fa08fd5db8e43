import { readFileSync } from 'node:fs';
import Ajv2020 from 'ajv/dist/2020.js';
import { describe, expect, it } from 'vitest';
import { runCli } from '../../src/cli/run-cli.ts';
import { DEFAULT_PRACTICE, writePractice } from '../../src/closure/practice.ts';
import { writeResultJson } from '../../src/report/write-result-json.ts';
import { makeAnalysis, threeSpaces } from '../helpers/make-analysis.ts';
import { makeMemoryWorld } from '../helpers/memory-io.ts';

const PRACTICE = writePractice({
  ...DEFAULT_PRACTICE,
  limitMm: 0.2,
  maxStages: 5,
  expression: 0.7,
  spanRule: 'terminal-molars',
  noteBefore: 'Dear technician,',
  noteAfter: 'Yours, the practice of the example',
});

const validate = new Ajv2020({ allErrors: true, strict: false }).compile(
  JSON.parse(readFileSync(new URL('../../docs/schemas/archgap-plan-1.json', import.meta.url), 'utf8')),
);

async function plan(...more: string[]) {
  const w = makeMemoryWorld({
    'result.json': writeResultJson(threeSpaces(), { version: '0.1.0' }),
    'lower.json': writeResultJson(makeAnalysis({ jaw: 'lower' }), { version: '0.1.0' }),
    'practice.json': PRACTICE,
    'broken.json': '{"schema": "archgap-practice/1", "limit_mm": -1}',
  });
  const status = await runCli(['plan', 'result.json', '--out', 'o', ...more], w.io);
  const text = (name: string) => new TextDecoder().decode(w.files.get(`/here/o/${name}`));
  const written = w.files.get('/here/o/plan.json');
  const document = written ? JSON.parse(text('plan.json')) : null;
  if (document !== null) {
    validate(document);
    expect(validate.errors ?? []).toEqual([]);
  }
  return { status, out: w.stdout(), err: w.stderr(), text, document };
}

describe('archgap plan with the preferences of a practice', () => {
  it('plans as the practice does, and says so', async () => {
    const { status, out, document, text } = await plan('--practice', 'practice.json');
    expect(status).toBe(0);
    expect(document.settings).toMatchObject({
      limit_mm: 0.2,
      max_stages: 5,
      expression: 0.7,
      span_rule: 'terminal-molars',
    });
    expect(document.practice).toEqual({ departures: [] });
    expect(out).toContain('Planned as the practice does.');
    expect(text('note.txt')).toMatch(/^Dear technician,\n\nClosure note,/);
    expect(text('note.txt')).toMatch(/Yours, the practice of the example\n$/);
  });

  it('options depart from it: told in print and in the plan', async () => {
    const { out, document } = await plan(
      '--practice',
      'practice.json',
      '--limit',
      '0.1',
      '--max-stages',
      '2',
    );
    expect(document.settings).toMatchObject({ limit_mm: 0.1, max_stages: 2, expression: 0.7 });
    expect(document.practice.departures).toEqual([
      { setting: 'limit_mm', sentence: 'limit 0.10 mm (practice: 0.20 mm)' },
      { setting: 'max_stages', sentence: 'at most 2 stages (practice: 5)' },
    ]);
    expect(out).toContain(
      'Departs from the practice: limit 0.10 mm (practice: 0.20 mm); at most 2 stages (practice: 5).',
    );
  });

  it('without one nothing departs; a file that is none is refused', async () => {
    const { document, out } = await plan();
    expect(document.practice).toBeNull();
    expect(out).not.toContain('practice does');
    const { status, err } = await plan('--practice', 'broken.json');
    expect(status).toBe(3);
    expect(err).toMatch(/^archgap: PRACTICE_FILE: .*limit_mm/);
  });
});

describe('archgap plan with what the mouth says', () => {
  it('floss settles contacts, whichever way round they are named', async () => {
    const before = await plan();
    expect(before.out).toContain('bridged');
    const { document } = await plan('--floss', '16-17=closed', '--floss', '22-23=0.15');
    expect(document.settings.floss).toEqual([
      { a: '17', b: '16', finding: 'closed', space_mm: null },
      { a: '22', b: '23', finding: 'open', space_mm: 0.15 },
    ]);
    const [span] = document.spans;
    const contact = span.contacts.find((c: { a: string; b: string }) => c.a === '22' && c.b === '23');
    expect(contact).toMatchObject({ before_mm: null, counted_from: 'floss', counted_mm: 0.15 });
    expect(document.reasons[0].sentence).toContain('22-23 (by floss, no number from the scan)');
  });

  it('over-closure is programmed and explained', async () => {
    const { document } = await plan('--over-close', '13-12=0.05', '--max-stages', '9');
    expect(document.settings.targets).toEqual([{ a: '13', b: '12', target_mm: -0.05 }]);
    const { sentence } = document.reasons.find(({ code }: { code: string }) => code === 'OVER_CLOSURE');
    expect(sentence).toContain('13-12 by 0.05 mm');
    expect(sentence).toContain('is pressure, not a measurement');
    const { from, to } = document.proposal;
    const span = document.spans.find((s: { from: string; to: string }) => s.from === from && s.to === to);
    const contact = span.contacts.find((c: { a: string }) => c.a === '13');
    expect(contact.after_mm).toBeCloseTo(-0.05, 6);
  });

  it('turns and expression are settings too', async () => {
    const { document } = await plan('--per-stage-deg', '2', '--expression', '1');
    expect(document.settings).toMatchObject({ per_stage_deg: 2, expression: 1 });
    expect(document.assumptions.join(' ')).toContain('At most 2.0 degrees per stage: set by the user.');
  });

  it('the opposing result tells whether tooth widths are why spaces stay', async () => {
    const { document } = await plan('--opposing-result', 'lower.json');
    expect(document.reasons.map(({ code }: { code: string }) => code)).toContain('SIZES_FIT');
    const { status, err } = await plan('--opposing-result', 'result.json');
    expect(status).toBe(2);
    expect(err).toMatch(/^archgap: BOLTON_JAWS: /);
  });
});
