import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { planClosure } from '../../src/closure/plan-closure.ts';
import { DEFAULT_SENSITIVITY, planSensitivity } from '../../src/closure/sensitivity.ts';
import { DEFAULT_CLOSURE_SETTINGS } from '../../src/closure/settings.ts';
import type { ClosureSettings } from '../../src/closure/types.ts';
import type { Analysis, ContactStatus } from '../../src/contacts/types.ts';
import { archOrder } from '../../src/teeth/notation.ts';
import { type ContactSays, makeAnalysis } from './make-analysis.ts';

const STATUSES: readonly ContactStatus[] = [
  'open',
  'undecided',
  'closed',
  'bridged',
  'overlap',
  'not-measurable',
];

interface Mouth {
  readonly analysis: Analysis;
  readonly settings: ClosureSettings;
}

/** Any subset of the sixteen teeth, crooked, with contacts of every kind, held teeth, floss and targets. */
const anyMouth = fc
  .record({
    jaw: fc.constantFrom('upper' as const, 'lower' as const),
    present: fc.array(fc.boolean(), { minLength: 16, maxLength: 16 }),
    crooked: fc.array(fc.double({ min: -1.5, max: 1.5, noNaN: true }), { minLength: 64, maxLength: 64 }),
    statuses: fc.array(fc.constantFrom(...STATUSES), { minLength: 16, maxLength: 16 }),
    spaces: fc.array(fc.double({ min: 0, max: 1.2, noNaN: true }), { minLength: 16, maxLength: 16 }),
    fixed: fc.array(fc.integer({ min: 0, max: 15 }), { maxLength: 4 }),
    floss: fc.array(fc.tuple(fc.integer({ min: 0, max: 14 }), fc.boolean()), { maxLength: 4 }),
    over: fc.option(fc.integer({ min: 0, max: 14 }), { nil: null }),
    without: fc.array(fc.integer({ min: 0, max: 15 }), { maxLength: 3 }),
  })
  .map((r): Mouth => {
    const order = archOrder(r.jaw);
    const teeth = order.filter((_, i) => r.present[i]);
    const place = (i: number): [number, number] => {
      const angle = Math.PI * (1 - (i + 0.5) / 16);
      return [30 * Math.cos(angle) + r.crooked[i]!, 38 * Math.sin(angle) + r.crooked[16 + i]!];
    };
    const slots = teeth.map((tooth) => order.indexOf(tooth));
    const centres = slots.map(place);
    const middle = (k: number, share: number, by: number): [number, number] => [
      centres[k]![0] + share * (centres[k + 1]![0] - centres[k]![0]) + r.crooked[32 + by]!,
      centres[k]![1] + share * (centres[k + 1]![1] - centres[k]![1]) + r.crooked[48 + by]!,
    ];
    const says = slots.slice(0, -1).map((slot, k): ContactSays => {
      if (slots[k + 1] !== slot + 1) return { status: 'missing-tooth', valueMm: null };
      const status = r.statuses[k]!;
      const space = r.spaces[k]!;
      if (status === 'open') return { status, valueMm: space + 0.15, u95Mm: 0.04 };
      if (status === 'overlap') return { status, valueMm: -space / 5, u95Mm: 0.01 };
      if (status === 'undecided') return { status, valueMm: 0.1, u95Mm: 0.05 };
      if (status === 'closed')
        return { status, valueMm: space > 0.6 ? null : space / 20, upperBoundMm: 0.05 };
      return { status, valueMm: null, upperBoundMm: space > 0.5 ? space : null };
    });
    const base = makeAnalysis({
      teeth,
      centres,
      pointsA: says.map((_, k) => middle(k, 0.47, k)),
      pointsB: says.map((_, k) => middle(k, 0.53, (k + 5) % 16)),
      says,
      jaw: r.jaw,
    });
    const pairAt = (slot: number) => ({ toothA: order[slot]!, toothB: order[slot + 1]! });
    return {
      analysis: {
        ...base,
        contacts: base.contacts
          .map((c, k) => (r.without.includes(k) ? { ...c, pointA: null, pointB: null } : c))
          .filter((_, k) => !(r.without.length === 3 && k === r.without[0])),
      },
      settings: {
        ...DEFAULT_CLOSURE_SETTINGS,
        fixed: r.fixed.map((i) => order[i]!),
        floss: r.floss.map(([slot, open]) => ({ ...pairAt(slot), finding: open ? 'open' : 'closed' })),
        targets: r.over === null ? [] : [{ ...pairAt(r.over), targetMm: -0.05 }],
      },
    };
  });

describe('any mouth at all', () => {
  it('gets a clear answer, finite numbers and no tooth pressed into another', () => {
    const answers = new Map<string, number>();
    const verdicts = new Map<string, number>();
    fc.assert(
      fc.property(anyMouth, ({ analysis, settings }) => {
        const plan = planClosure(analysis, settings);
        answers.set(plan.answer, (answers.get(plan.answer) ?? 0) + 1);
        expect(plan.reasons.length).toBeGreaterThan(0);
        for (const reason of plan.reasons) expect(reason.sentence).toMatch(/^[A-Z\d].*\.$/);
        const offers = plan.answer === 'tighten' || plan.answer === 'not-enough';
        expect(plan.proposal !== null).toBe(offers);
        if (plan.proposal) {
          const { from, to, stages } = plan.proposal;
          const span = plan.spans.find((s) => s.from === from && s.to === to)!;
          // At the limit the most stages are proposed although the whole motion needs more.
          expect(span.stages ?? settings.maxStages).toBe(stages);
          expect(stages).toBeGreaterThan(0);
          expect(stages).toBeLessThanOrEqual(settings.maxStages);
          if (plan.answer === 'tighten') expect(span.verdict).toBe('closes-all');
        }
        for (const span of plan.spans) {
          verdicts.set(span.verdict, (verdicts.get(span.verdict) ?? 0) + 1);
          expect(span.contacts).toHaveLength(Math.max(0, analysis.teeth.length - 1));
          expect(span.stages === null).toBe(
            span.verdict === 'infeasible' || span.verdict === 'too-many-stages',
          );
          expect(JSON.stringify(span)).not.toMatch(/NaN|Infinity/);
          expect(Object.values(span.arch ?? {}).every((v) => v === null || Number.isFinite(v))).toBe(true);
          for (const tooth of span.teeth) {
            expect([tooth.dxMm, tooth.dyMm, tooth.rotationRad].every(Number.isFinite)).toBe(true);
            const held = settings.fixed.includes(tooth.tooth);
            if (held) expect([tooth.dxMm, tooth.dyMm, tooth.rotationRad]).toEqual([0, 0, 0]);
          }
          for (const contact of span.contacts) {
            if (contact.status === 'missing-tooth') continue;
            const known = analysis.contacts.some(
              (c) => c.toothA === contact.toothA && c.toothB === contact.toothB,
            );
            if (!known) continue;
            // Never below where it was, nor below zero or an over-closure that was asked for.
            const target = settings.targets!.find((t) => t.toothA === contact.toothA)?.targetMm ?? 0;
            expect(contact.afterMm).toBeGreaterThanOrEqual(Math.min(target, contact.countedMm!) - 1e-6);
          }
        }
      }),
      { seed: 51, numRuns: 400 },
    );
    // The property is worth something only if every answer and verdict was met.
    expect([...answers.keys()].sort()).toEqual(
      ['floss-first', 'new-plan', 'none-needed', 'not-by-tightening', 'not-enough', 'tighten'].sort(),
    );
    expect(verdicts.size).toBe(6);
  });

  it('a draw that moves nothing is the plan itself, which weighs every span', () => {
    const answers = new Set<string>();
    fc.assert(
      fc.property(anyMouth, ({ analysis, settings }) => {
        const certain: Analysis = {
          ...analysis,
          contacts: analysis.contacts.map((c) =>
            c.gap === null ? c : { ...c, gap: { ...c.gap, u95Mm: 0 } },
          ),
        };
        const plan = planClosure(certain, settings);
        const still = { ...DEFAULT_SENSITIVITY, draws: 1, resistanceSpread: 0 };
        answers.add(plan.answer);
        expect(planSensitivity(certain, settings, still, plan).sameSpanShare).toBe(1);
      }),
      { seed: 52, numRuns: 400 },
    );
    expect(answers.size).toBe(6);
  });
});
