import { describe, expect, it } from 'vitest';
import { planClosure } from '../../src/closure/plan-closure.ts';
import { DEFAULT_CLOSURE_SETTINGS } from '../../src/closure/settings.ts';
import type { ArchPart, CommonPractice } from '../../src/closure/types.ts';
import { analysisOf, gapsAt } from './make-analysis.ts';
import { textbookArch, UPPER_14 } from './textbook-arch.ts';

function rule(
  named: Record<string, number>,
  moved: ArchPart | null,
  reduction: ArchPart | null,
  teeth: readonly number[] = UPPER_14,
): CommonPractice {
  const arch = textbookArch(gapsAt(UPPER_14, named));
  const n = teeth.length;
  const analysis = analysisOf({
    teeth,
    centres: arch.centres.slice(0, n),
    pointsA: arch.pointsA.slice(0, n - 1),
    pointsB: arch.pointsB.slice(0, n - 1),
    gaps: arch.gaps.slice(0, n - 1),
  });
  return planClosure(analysis, { ...DEFAULT_CLOSURE_SETTINGS, moved, reduction }).commonPractice;
}

const MIDLINE = { '11-21': 0.4 };
const POSTERIOR = { '16-15': 0.3, '25-26': 0.3 };

describe("the trade's rule of thumb", () => {
  it('is marked as a custom without a source, whatever it says', () => {
    for (const moved of [null, 'none', 'anterior', 'posterior'] as const) {
      for (const reduction of [null, 'none', 'anterior', 'posterior'] as const) {
        expect(rule(MIDLINE, moved, reduction).sentence).toContain('no published source');
      }
    }
  });

  it('where the arithmetic disagrees, it says what the span of the rule would do', () => {
    expect(rule(POSTERIOR, 'anterior', 'none').sentence).toMatch(
      /the arithmetic proposes 17 to 27 instead\. Nothing inside 13 to 23 is open, so it would move nothing\.$/,
    );
    expect(rule(MIDLINE, 'posterior', 'none').sentence).toMatch(
      /the arithmetic proposes 13 to 23 instead\. Over 17 to 27 everything would close too, in 2 stages; the proposal is the shorter span\.$/,
    );
    expect(rule({ '13-12': 0.2, '11-21': 0.4, '23-24': 0.3 }, 'anterior', 'none').sentence).toMatch(
      / instead\. 13 to 23 would leave or open 14-13 by 0\.\d\d mm and 23-24 at 0\.\d\d mm\.$/,
    );
  });

  it('anterior only: canine to canine; agrees with the arithmetic at the midline', () => {
    expect(rule(MIDLINE, 'anterior', 'none')).toMatchObject({ from: 13, to: 23, agrees: true });
    expect(rule(MIDLINE, 'none', 'anterior').sentence).toContain('the arithmetic proposes 13 to 23 too');
  });

  it('posterior anywhere: terminal molar to terminal molar', () => {
    expect(rule(POSTERIOR, 'posterior', 'none')).toMatchObject({ from: 17, to: 27, agrees: true });
    const differs = rule(MIDLINE, 'anterior', 'posterior');
    expect(differs).toMatchObject({ from: 17, to: 27, agrees: false });
    expect(differs.sentence).toContain('the arithmetic proposes 13 to 23 instead');
  });

  it('neither: order nothing; agrees when nothing is open, not when something is', () => {
    expect(rule({}, 'none', 'none')).toMatchObject({ from: null, to: null, agrees: true });
    expect(rule(MIDLINE, 'none', 'none')).toMatchObject({ from: null, agrees: false });
  });

  it('goes by the half it was told, and says which half it was not', () => {
    expect(rule(MIDLINE, null, null)).toMatchObject({ from: null, to: null, agrees: null });
    const moved = rule(MIDLINE, 'anterior', null);
    expect(moved).toMatchObject({ from: 13, to: 23, agrees: true });
    expect(moved.sentence).toContain(
      'movement in the anterior teeth (where enamel was reduced was not said) asks for canine to canine',
    );
    const reduced = rule(POSTERIOR, null, 'posterior');
    expect(reduced).toMatchObject({ from: 17, to: 27, agrees: true });
    expect(reduced.sentence).toContain('(where teeth were moved was not said)');
    expect(rule(MIDLINE, 'none', null)).toMatchObject({ from: null, agrees: false });
    expect(rule({}, null, 'none').sentence).toContain(
      'nothing was reduced (where teeth were moved was not said) and no stages are ordered',
    );
  });

  it('an arch without the ends that the rule wants', () => {
    const right = UPPER_14.slice(0, 7);
    expect(rule({ '13-12': 0.3 }, 'posterior', 'none', right)).toMatchObject({ from: null, agrees: null });
    expect(rule({ '13-12': 0.3 }, 'posterior', 'none', right).sentence).toContain('do not reach');
    expect(rule({ '13-12': 0.3 }, 'anterior', 'none', right).sentence).toContain(
      'which this arch does not have',
    );
  });
});
