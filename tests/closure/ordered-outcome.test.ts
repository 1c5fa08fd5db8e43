import { describe, expect, it } from 'vitest';
import { asOrdered, proposedSpan } from '../../src/closure/ordered-outcome.ts';
import { planClosure } from '../../src/closure/plan-closure.ts';
import { DEFAULT_CLOSURE_SETTINGS } from '../../src/closure/settings.ts';
import { analysisOf, gapsAt } from './make-analysis.ts';
import { textbookArch, UPPER_14 } from './textbook-arch.ts';

function planOf(named: Record<string, number>, maxStages = 3) {
  const analysis = analysisOf(textbookArch(gapsAt(UPPER_14, named)));
  return planClosure(analysis, { ...DEFAULT_CLOSURE_SETTINGS, maxStages });
}

/** A limit that the space left by the most stages can't be told from. */
function planAtLimit() {
  for (let space = 0.4; space < 3; space += 0.01) {
    const plan = planOf({ '11-21': space }, 1);
    if (plan.answer === 'not-enough' && proposedSpan(plan)?.stages === null) return plan;
  }
  throw new Error('no space of the walk ends at the limit');
}

describe('a span as it is ordered', () => {
  it('is the span itself when the stages suffice, and when it is not the one proposed', () => {
    const plan = planOf({ '13-12': 0.25, '11-21': 0.35, '22-23': 0.6 }, 5);
    for (const span of plan.spans) expect(asOrdered(plan, span)).toBe(span);
    expect(proposedSpan(planOf({}))).toBeNull();
  });

  it('stops where the most stages stop: every motion and every change by the same share', () => {
    const plan = planAtLimit();
    const whole = proposedSpan(plan)!;
    const ordered = asOrdered(plan, whole);
    const share = whole.maxStagesShare!;
    expect(share).toBeGreaterThan(0);
    expect(share).toBeLessThan(1);
    expect(ordered.stages).toBe(1);
    ordered.contacts.forEach((contact, k) => {
      const { countedMm, afterMm } = whole.contacts[k]!;
      expect(contact.afterMm).toBeCloseTo(countedMm! + share * (afterMm - countedMm!), 9);
    });
    ordered.teeth.forEach((tooth, k) => {
      expect(tooth.dxMm).toBeCloseTo(share * whole.teeth[k]!.dxMm, 12);
      expect(tooth.rotationRad).toBeCloseTo(share * whole.teeth[k]!.rotationRad, 12);
    });
    // Closed-form: the change of the perimeter is the sum of the changes of the spaces.
    const change = ordered.contacts.reduce((sum, c) => sum + c.afterMm - c.countedMm!, 0);
    expect(ordered.arch!.perimeterChangeMm).toBeCloseTo(change, 9);
  });
});
