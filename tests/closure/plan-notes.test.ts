import { describe, expect, it } from 'vitest';
import { planClosure } from '../../src/closure/plan-closure.ts';
import { archEffectsNote } from '../../src/closure/plan-notes.ts';
import { DEFAULT_CLOSURE_SETTINGS } from '../../src/closure/settings.ts';
import type { FlossFinding } from '../../src/closure/types.ts';
import { analysisOf, gapsAt } from './make-analysis.ts';
import { textbookArch, UPPER_14 } from './textbook-arch.ts';

const analysis = analysisOf(textbookArch(gapsAt(UPPER_14, { '13-12': 0.3, '11-21': 0.3 })));
const plan = planClosure(analysis, DEFAULT_CLOSURE_SETTINGS);

describe('notes beside a proposal', () => {
  it('the arch effects of the proposed span are told with their signs', () => {
    const proposed = plan.spans.find((s) => s.from === plan.proposal!.from && s.to === plan.proposal!.to)!;
    const [note] = archEffectsNote(proposed, 1);
    expect(plan.reasons).toContainEqual(note);
    const { perimeterChangeMm, depthChangeMm, midlineShiftMm } = proposed.arch!;
    expect(perimeterChangeMm).toBeLessThan(0);
    expect(midlineShiftMm).toBeLessThan(0);
    expect(note!.sentence).toContain(`perimeter −${(-perimeterChangeMm).toFixed(2)} mm`);
    expect(note!.sentence).toContain(`depth −${(-depthChangeMm).toFixed(2)} mm`);
    expect(note!.sentence).toContain(`midline ${(-midlineShiftMm).toFixed(2)} mm to the patient’s right`);
  });

  it('nothing is told of a span without motions', () => {
    const held = planClosure(analysis, { ...DEFAULT_CLOSURE_SETTINGS, fixed: [13, 12] });
    const stuck = held.spans.find((s) => s.verdict === 'infeasible')!;
    expect(archEffectsNote(stuck, 1)).toEqual([]);
  });

  it('an open contact whose walls stand beside each other is a slip that closing does not mend', () => {
    expect(plan.reasons.map((r) => r.code)).not.toContain('SLIP');
    const slipped = {
      ...analysis,
      contacts: analysis.contacts.map((c) => ({
        ...c,
        slipMm: c.toothA === 11 ? -0.8 : c.toothA === 17 ? 2 : 0.1,
      })),
    };
    const notes = planClosure(slipped, DEFAULT_CLOSURE_SETTINGS).reasons.filter((r) => r.code === 'SLIP');
    // 17-16 slips more, but nothing is to be closed there.
    expect(notes.map((r) => r.sentence)).toEqual([
      'At 11-21 the closest points lie 0.80 mm beside each other buccolingually; closing alone does not bring the contact points together.',
    ]);
  });

  it('a finding of floss at no contact of the arch, or a second one for a contact, is told as not used', () => {
    const used = { toothA: 16, toothB: 15, finding: 'closed' } as const;
    const codesOf = (floss: readonly FlossFinding[]) =>
      planClosure(analysis, { ...DEFAULT_CLOSURE_SETTINGS, floss }).reasons;
    expect(codesOf([used]).map(({ code }) => code)).not.toContain('FLOSS_NOT_USED');
    const told = codesOf([
      used,
      { toothA: 15, toothB: 16, finding: 'open' },
      { toothA: 17, toothB: 13, finding: 'open' },
    ]).find(({ code }) => code === 'FLOSS_NOT_USED');
    expect(told?.sentence).toBe(
      'What floss is said to have found is not used where it is at no contact of this arch or the second finding for one: 15-16 open and 17-13 open. Correct or remove them.',
    );
  });
});
