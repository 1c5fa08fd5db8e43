import { describe, expect, it } from 'vitest';
import { planClosure } from '../../src/closure/plan-closure.ts';
import { DEFAULT_CLOSURE_SETTINGS } from '../../src/closure/settings.ts';
import { sizeNotes } from '../../src/closure/size-notes.ts';
import { boltonExcess } from '../../src/contacts/bolton.ts';
import type { Analysis } from '../../src/contacts/types.ts';
import { digitOf } from '../../src/teeth/notation.ts';
import { makeAnalysis } from '../helpers/make-analysis.ts';

/** Textbook teeth (facts 4a: Bolton 91.4 and 77.8 %), the wanted digits made narrower, with an uncertainty each. */
function archOf(jaw: 'upper' | 'lower', narrower: Record<number, number> = {}, u95Mm = 0.1): Analysis {
  const analysis = makeAnalysis({
    jaw,
    contacts: jaw === 'upper' ? { '11-21': { status: 'open', gapMm: 0.4, u95Mm: 0.03 } } : {},
  });
  return {
    ...analysis,
    teeth: analysis.teeth.map((record) => ({
      ...record,
      mesiodistalMm: record.mesiodistalMm! - (narrower[digitOf(record.tooth)] ?? 0),
      sizesU95Mm: { mesiodistal: u95Mm, buccolingual: null, crownHeight: null },
    })),
  };
}

const codes = (notes: readonly { code: string }[]) => notes.map(({ code }) => code);

describe('tooth sizes beside a plan', () => {
  it('textbook teeth fit each other', () => {
    const notes = sizeNotes(archOf('upper'), archOf('lower'));
    expect(codes(notes)).toEqual(['SIZES_FIT']);
    expect(notes[0]!.sentence).toContain('overall ratio (6 to 6) 91.4 %');
    expect(notes[0]!.sentence).toContain('anterior ratio (3 to 3) 77.8 %');
  });

  it('narrow upper lateral incisors are a reason why upper spaces stay: amount by Bolton’s formula', () => {
    // 1.5 mm less on each lateral: six upper teeth 45 - 3 = 42 mm for 35 mm below, 83.3 %, 3.7 SD above 77.2.
    const notes = sizeNotes(archOf('upper', { 2: 1.5 }), archOf('lower'));
    const anterior = notes.find(({ sentence }) => sentence.includes('anterior ratio'))!;
    expect(anterior.code).toBe('SIZE_MISMATCH');
    const excess = boltonExcess(42, 35, 77.2);
    expect(excess.jaw).toBe('lower');
    expect(anterior.sentence).toContain(
      `83.3 % (mean 77.2 %, 3.7 standard deviations off): ${excess.mm.toFixed(2)} ±`,
    );
    expect(anterior.sentence).toContain('which is a reason why spaces stay');
  });

  it('seen from the other arch the same widths explain nothing', () => {
    const notes = sizeNotes(archOf('lower'), archOf('upper', { 2: 1.5 }));
    expect(notes.find(({ code }) => code === 'SIZE_MISMATCH')!.sentence).toContain('are the wide ones');
  });

  it('a mismatch that its own uncertainty covers is none', () => {
    const notes = sizeNotes(archOf('upper', { 2: 1 }, 2), archOf('lower', {}, 2));
    expect(codes(notes)).toEqual(['SIZES_FIT']);
  });

  it('without the widths nothing is known, without the other arch nothing is said', () => {
    const bare = makeAnalysis({ jaw: 'lower', teeth: [41, 31] });
    expect(codes(sizeNotes(archOf('upper'), bare))).toEqual(['SIZES_UNKNOWN']);
    expect(sizeNotes(archOf('upper'), null)).toEqual([]);
    expect(() => sizeNotes(archOf('upper'), archOf('upper'))).toThrow(/upper and a lower arch/);
  });

  it('stands among the reasons where something is to be closed, and only there', () => {
    const upper = archOf('upper', { 2: 1.5 });
    const plan = planClosure(upper, DEFAULT_CLOSURE_SETTINGS, archOf('lower'));
    expect(codes(plan.reasons)).toContain('SIZE_MISMATCH');
    const closed = {
      ...upper,
      contacts: upper.contacts.map((c) => ({ ...c, status: 'closed' as const, gap: null })),
    };
    expect(codes(planClosure(closed, DEFAULT_CLOSURE_SETTINGS, archOf('lower')).reasons)).not.toContain(
      'SIZE_MISMATCH',
    );
  });

  it('contact points of the front teeth beside each other are told from a moderate index on', () => {
    const row = (offsetMm: number): Analysis => {
      const analysis = archOf('upper');
      return {
        ...analysis,
        contacts: analysis.contacts.map((c) => ({ ...c, closingDirection: [1, 0, 0] })),
        teeth: analysis.teeth.map((record, k) => {
          const y = k % 2 === 0 ? 0 : offsetMm;
          return {
            ...record,
            marks: {
              right: [8 * k - 4, y, 0],
              left: [8 * k + 4, y, 0],
              rightSeen: true,
              leftSeen: true,
              cusp: null,
            },
          };
        }),
      } as Analysis;
    };
    expect(sizeNotes(row(0.6), null)).toEqual([]);
    const [note] = sizeNotes(row(1), null);
    expect(note!.code).toBe('IRREGULARITY');
    expect(note!.sentence).toContain('by 5.00 ±');
    expect(note!.sentence).toContain('moderate');
  });
});
