import { describe, expect, it } from 'vitest';
import { CAUTIONS } from '../../src/report/cautions.ts';
import { writeClosureNote } from '../../src/report/closure-note.ts';
import { makeAnalysis, threeSpaces } from '../helpers/make-analysis.ts';
import { makePlan } from '../helpers/make-plan.ts';

describe('writeClosureNote', () => {
  const analysis = threeSpaces();
  const note = writeClosureNote(makePlan(analysis), analysis, 'iso');

  it('holds proposal, reasons, measured spaces, what is left, and every caution', () => {
    expect(note).toContain('Proposed: 3 tightening stages over the span 17 to 27.');
    expect(note).toContain('- 17 to 27 closes every open contact and opens none.');
    expect(note).toContain('- 13-12 open, 0.25 ± 0.03 mm');
    expect(note).toContain('- 23-24: 0.60 mm before, 0.00 mm after');
    for (const caution of CAUTIONS) expect(note).toContain(`- ${caution}`);
    expect(note.endsWith('\n')).toBe(true);
  });

  it('tells what the proposed stages open', () => {
    const plan = makePlan(analysis, { proposal: { from: 16, to: 26, stages: 3 }, answer: 'not-enough' });
    expect(writeClosureNote(plan, analysis, 'iso')).toContain(
      '- 17-16: no number from the scan, 0.15 mm wider after 3 stages (opened by the stages)',
    );
  });

  it('tells what remains after the stages proposed, where the whole motion needs more', () => {
    const plan = makePlan(analysis, { answer: 'not-enough' });
    const spans = plan.spans.map((span) =>
      span.from !== 17
        ? span
        : {
            ...span,
            stages: null,
            stagesNeeded: 4,
            maxStagesShare: 5 / 6,
            contacts: span.contacts.map((c) => ({ ...c, afterMaxStagesMm: (c.beforeMm ?? 0) / 6 })),
          },
    );
    expect(writeClosureNote({ ...plan, spans }, analysis, 'iso')).toContain(
      '- 23-24: 0.60 mm before, 0.10 mm after 3 stages',
    );
  });

  it('stands between the words of the practice, and says how firm the proposal is', () => {
    const plan = makePlan(analysis, {
      sensitivity: {
        verdict: 'robust',
        draws: 200,
        hidden: null,
        untried: 0,
        sameSpanShare: 1,
        sameStagesShare: 1,
        stagesRange: [3, 3],
        outcomes: [],
        dependsOn: [],
        sentence: 'Robust: it stays.',
      },
    });
    const named = writeClosureNote(plan, analysis, 'iso', {
      before: '',
      after: '',
      scanName: 'a.ply of 2026-01-05',
    });
    expect(named.split('\n')[0]).toBe('Closure note, upper arch, scan a.ply of 2026-01-05');
    const worded = writeClosureNote(plan, analysis, 'iso', { before: 'Good day,\n', after: 'Thank you.' });
    expect(worded.startsWith('Good day,\n\nClosure note, upper arch')).toBe(true);
    expect(worded.endsWith('\n\nThank you.\n')).toBe(true);
    expect(worded).toContain('\nRobust: it stays.\n');
    expect(worded.replace('Good day,\n\n', '').replace('\nThank you.\n', '')).toBe(
      writeClosureNote(plan, analysis, 'iso'),
    );
  });

  it('calls nothing firm while it proposes nothing but floss', () => {
    const sensitivity = {
      verdict: 'robust' as const,
      draws: 200,
      hidden: null,
      untried: 0,
      sameSpanShare: 1,
      sameStagesShare: 1,
      stagesRange: null,
      outcomes: [],
      dependsOn: [],
      sentence: 'Robust: it stays.',
    };
    const waiting = makePlan(analysis, { answer: 'floss-first', sensitivity });
    expect(writeClosureNote(waiting, analysis, 'iso')).not.toContain('Robust');
    const wavering = { ...sensitivity, verdict: 'depends' as const, sentence: 'It depends.' };
    expect(
      writeClosureNote(makePlan(analysis, { answer: 'floss-first', sensitivity: wavering }), analysis, 'iso'),
    ).toContain('\nIt depends.\n');
  });

  it('gives no number for a bridged contact', () => {
    expect(note).toContain('- 17-16 bridged, 0 to 0.24 mm could hide here');
    expect(note).not.toMatch(/bridged[^\n]*±/);
  });

  it('writes every tooth in the chosen numbering', () => {
    const plan = makePlan(analysis, {
      reasons: [],
      commonPractice: { from: null, to: null, agrees: null, sentence: '-' },
    });
    const universal = writeClosureNote(plan, analysis, 'universal');
    expect(universal).toContain('Proposed: 3 tightening stages over the span 2 to 15.');
    expect(universal).toContain('- 6-7 open');
    expect(universal).not.toContain('13-12');
  });

  it('stays lines of text whatever the file is called', () => {
    const odd = makeAnalysis({ fileName: 'a\nb\u0007.ply' });
    expect(writeClosureNote(makePlan(odd), odd, 'iso').split('\n')[0]).toBe(
      'Closure note, upper arch, scan a b .ply',
    );
  });
});
