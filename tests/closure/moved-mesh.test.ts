import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { checkOnSurfaces, type MeasureMoved } from '../../src/closure/moved-mesh.ts';
import { planClosure } from '../../src/closure/plan-closure.ts';
import { DEFAULT_CLOSURE_SETTINGS } from '../../src/closure/settings.ts';
import type { Analysis } from '../../src/contacts/types.ts';
import { movePoint } from '../../src/geometry/rigid.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { makeAnalysis, saysOf } from './make-analysis.ts';
import { TEXTBOOK_WIDTHS, UPPER_14 } from './textbook-arch.ts';

/**
 * Teeth of two balls each, at the mesial and distal end of the crown: a body whose space to its neighbours has a
 * closed form in every position, is curved as real walls are, and feels a turn.
 */
function ballArch(gaps: readonly number[], radiusMm = 30): { analysis: Analysis; measure: MeasureMoved } {
  const BALL = 2.5;
  const centres: [number, number][] = [];
  const distal: [number, number][] = [];
  const mesial: [number, number][] = [];
  // Crowns along a circle, so that balls of neighbours are `gap` apart along their common chord.
  let angle = Math.PI;
  const at = (a: number): [number, number] => [radiusMm * Math.cos(a), radiusMm * Math.sin(a)];
  const turn = (chord: number): number => 2 * Math.asin(chord / (2 * radiusMm));
  UPPER_14.forEach((_, i) => {
    const halfArm = TEXTBOOK_WIDTHS[i]! / 2 - BALL;
    const first = at(angle);
    angle -= turn(2 * halfArm);
    const second = at(angle);
    distal.push(first);
    mesial.push(second);
    centres.push([(first[0] + second[0]) / 2, (first[1] + second[1]) / 2]);
    angle -= turn(2 * BALL + (gaps[i] ?? 0));
  });
  const towards = (p: readonly number[], q: readonly number[], by: number): [number, number] => {
    const size = Math.hypot(q[0]! - p[0]!, q[1]! - p[1]!);
    return [p[0]! + (by * (q[0]! - p[0]!)) / size, p[1]! + (by * (q[1]! - p[1]!)) / size];
  };
  const analysis = makeAnalysis({
    teeth: UPPER_14,
    centres,
    pointsA: gaps.map((_, k) => towards(mesial[k]!, distal[k + 1]!, BALL)),
    pointsB: gaps.map((_, k) => towards(distal[k + 1]!, mesial[k]!, BALL)),
    says: saysOf(gaps),
    widths: TEXTBOOK_WIDTHS,
  });
  const measure: MeasureMoved = (toothA, toothB, motionA, motionB) => {
    const [a, b] = [UPPER_14.indexOf(toothA), UPPER_14.indexOf(toothB)];
    const pa: Vec3 = movePoint(motionA, [mesial[a]![0], mesial[a]![1], 0]);
    const pb: Vec3 = movePoint(motionB, [distal[b]![0], distal[b]![1], 0]);
    return Math.hypot(pb[0] - pa[0], pb[1] - pa[1], pb[2] - pa[2]) - 2 * BALL;
  };
  return { analysis, measure };
}

const MANY = { ...DEFAULT_CLOSURE_SETTINGS, maxStages: 100 };
const WHOLE = { from: 17, to: 27 };

describe('check on the surfaces', () => {
  const gaps = UPPER_14.slice(1).map((_, k) => [0.9, 0, 1.1, 0.4, 0, 1.3, 0.8, 0, 0.5, 1.2, 0, 0.7, 0.3][k]!);

  it('large spaces: the linear rows miss by more than 0.01 mm, the corrected ones meet every target', async () => {
    const { analysis, measure } = ballArch(gaps);
    const plan = planClosure(analysis, MANY);
    const linear = plan.spans.find((s) => s.from === 17 && s.to === 27)!;
    const check = await checkOnSurfaces(analysis, MANY, WHOLE, measure);
    expect(check.met).toBe(true);
    expect(check.rounds).toBeGreaterThan(1);
    expect(check.measured).toHaveLength(13);
    expect(check.worstMissMm).toBeLessThanOrEqual(0.01);
    expect(check.deepestOverlapMm).toBeLessThanOrEqual(0.01);
    // Measured anew here, from the motions the outcome hands to the view.
    const { crownMotion } = await import('../../src/closure/play-back.ts');
    const missOf = (teeth: typeof linear.teeth): number => {
      const motions = teeth.map((tooth, i) => crownMotion(analysis.frame, analysis.teeth[i]!.centre, tooth));
      return Math.max(
        ...gaps.map((_, k) =>
          Math.abs(measure(UPPER_14[k]!, UPPER_14[k + 1]!, motions[k]!, motions[k + 1]!)!),
        ),
      );
    };
    expect(missOf(linear.teeth)).toBeGreaterThan(0.01);
    expect(missOf(check.outcome.teeth)).toBeLessThanOrEqual(0.0101);
    expect(check.outcome.verdict).toBe('closes-all');
  });

  it('reports what the surfaces measure behind the ends of a shorter span too', async () => {
    const { analysis, measure } = ballArch(gaps.map((g, k) => (k === 6 ? 0.8 : g * 0)));
    const check = await checkOnSurfaces(analysis, MANY, { from: 13, to: 23 }, measure);
    expect(check.met).toBe(true);
    const behind = check.outcome.contacts.find((c) => c.toothA === 14)!;
    const said = check.measured.find((c) => c.toothA === 14)!;
    expect(behind.opened).toBe(true);
    expect(behind.afterMm).toBe(said.afterMm);
    expect(behind.afterMm).toBeGreaterThan(0.1);
    // 17-16 cannot change and is not measured.
    expect(check.measured.map((c) => c.toothA)).toEqual([14, 13, 12, 11, 21, 22, 23]);
  });

  it('a bias of the surface distance against the measured space cancels', async () => {
    const { analysis, measure } = ballArch(gaps);
    const biased: MeasureMoved = (a, b, ma, mb) => measure(a, b, ma, mb)! - 0.02;
    const plain = await checkOnSurfaces(analysis, MANY, WHOLE, measure);
    const shifted = await checkOnSurfaces(analysis, MANY, WHOLE, biased);
    plain.outcome.teeth.forEach((tooth, i) => {
      expect(shifted.outcome.teeth[i]!.dxMm).toBeCloseTo(tooth.dxMm, 9);
    });
    expect(shifted.measured[0]!.restMm).toBeCloseTo(plain.measured[0]!.restMm - 0.02, 9);
  });

  it('contacts that surfaces cannot say keep their linear rows', async () => {
    const { analysis, measure } = ballArch(gaps);
    const half: MeasureMoved = (a, b, ma, mb) => (a % 2 === 0 ? null : measure(a, b, ma, mb));
    const check = await checkOnSurfaces(analysis, MANY, WHOLE, half);
    expect(check.met).toBe(true);
    expect(check.measured.every((c) => c.toothA % 2 === 1)).toBe(true);
    expect(check.outcome.contacts).toHaveLength(13);
    const none = await checkOnSurfaces(analysis, MANY, WHOLE, () => null);
    const linear = planClosure(analysis, MANY).spans.find((s) => s.from === 17 && s.to === 27)!;
    expect(none.measured).toEqual([]);
    expect(none.outcome.teeth).toEqual(linear.teeth);
    expect(none.sentence).toContain('No contact of this span can be measured again');
  });

  it('where the stages run out, the whole motion is measured, and what would remain is told beside it', async () => {
    const { analysis, measure } = ballArch(gaps);
    const check = await checkOnSurfaces(analysis, DEFAULT_CLOSURE_SETTINGS, WHOLE, measure);
    expect(check.outcome.verdict).toBe('too-many-stages');
    expect(check.outcome.shownShare).toBe(1);
    expect(check.outcome.maxStagesShare).toBeLessThan(1);
    for (const contact of check.measured) {
      const before = gaps[UPPER_14.indexOf(contact.toothA)]!;
      expect(Math.abs(contact.afterMm)).toBeLessThanOrEqual(0.01);
      const told = check.outcome.contacts.find((c) => c.toothA === contact.toothA)!;
      if (before > 0.5) expect(told.afterMaxStagesMm).toBeGreaterThan(0.1);
    }
  });

  it('surfaces that never meet are told, not hidden', async () => {
    const { analysis } = ballArch(gaps);
    const stubborn: MeasureMoved = () => 0.5;
    const check = await checkOnSurfaces(analysis, MANY, WHOLE, stubborn);
    expect(check.met).toBe(false);
    expect(check.sentence).toContain('not met');
  });

  it('a span without motions, a span the arch does not have, and a stop', async () => {
    const { analysis, measure } = ballArch(gaps);
    const held = { ...MANY, fixed: [17, 16] };
    const stuck = await checkOnSurfaces(analysis, held, WHOLE, measure);
    expect(stuck.met).toBe(false);
    expect(stuck.outcome.verdict).toBe('infeasible');
    await expect(checkOnSurfaces(analysis, MANY, { from: 18, to: 27 }, measure)).rejects.toMatchObject({
      code: 'PLAN_SPAN',
    });
    const stop = {
      checkpoint: async (): Promise<void> => {
        throw new Error('stopped');
      },
    };
    await expect(checkOnSurfaces(analysis, MANY, WHOLE, measure, stop)).rejects.toThrowError('stopped');
  });

  it('random arches: met within a few rounds, no ball inside another', async () => {
    await fc.assert(
      fc.asyncProperty(
        fc.array(fc.double({ min: 0.12, max: 1, noNaN: true }), { minLength: 13, maxLength: 13 }),
        fc.double({ min: 26, max: 36, noNaN: true }),
        async (spaces, radius) => {
          const { analysis, measure } = ballArch(spaces, radius);
          const check = await checkOnSurfaces(analysis, MANY, WHOLE, measure);
          expect(check.met).toBe(true);
          expect(check.rounds).toBeLessThanOrEqual(5);
          for (const contact of check.measured) expect(Math.abs(contact.afterMm)).toBeLessThanOrEqual(0.01);
        },
      ),
      { seed: 41, numRuns: 25 },
    );
  });
});
