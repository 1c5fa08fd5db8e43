import { describe, expect, it } from 'vitest';
import { planClosure } from '../../src/closure/plan-closure.ts';
import { crownMotion, playStage, stagesShown } from '../../src/closure/play-back.ts';
import { DEFAULT_CLOSURE_SETTINGS } from '../../src/closure/settings.ts';
import { movePoint } from '../../src/geometry/rigid.ts';
import type { OcclusalFrame } from '../../src/teeth/types.ts';
import { analysisOf, gapsAt, lift, UPRIGHT } from './make-analysis.ts';
import { textbookArch, UPPER_14 } from './textbook-arch.ts';

const SETTINGS = DEFAULT_CLOSURE_SETTINGS;
const arch = textbookArch(gapsAt(UPPER_14, { '13-12': 0.25, '11-21': 0.35, '23-24': 0.6 }));

/** A frame that is neither upright nor at the origin. */
const TILTED: OcclusalFrame = {
  origin: [5, -3, 12],
  x: [0.8, 0, 0.6],
  y: [0, 1, 0],
  z: [-0.6, 0, 0.8],
};

describe('stages played on the crowns', () => {
  const analysis = analysisOf(arch, { frame: TILTED });
  const plan = planClosure(analysis, SETTINGS);
  const outcome = plan.spans[plan.spans.length - 1]!;

  it('stage 0 leaves everything where it is', () => {
    const played = playStage(analysis, outcome, 0);
    for (const { tooth, motion } of played.teeth) {
      const centre = analysis.teeth.find((t) => t.tooth === tooth)!.centre;
      const moved = movePoint(motion, centre);
      for (let i = 0; i < 3; i += 1) expect(moved[i]).toBeCloseTo(centre[i]!, 12);
    }
    expect(played.contacts.map((c) => c.spaceMm)).toEqual(outcome.contacts.map((c) => c.countedMm));
  });

  it('after the last stage the contact points stand as far apart as the plan says', () => {
    const played = playStage(analysis, outcome, outcome.stages!);
    expect(played.stages).toBe(3);
    arch.gaps.forEach((gap, k) => {
      if (gap === 0) return;
      const a = movePoint(played.teeth[k]!.motion, lift(TILTED, arch.pointsA[k]!));
      const b = movePoint(played.teeth[k + 1]!.motion, lift(TILTED, arch.pointsB[k]!));
      // Along the line of closing; they may slip sideways. What is left is second order in the motions.
      const [from, to] = [lift(TILTED, arch.pointsA[k]!), lift(TILTED, arch.pointsB[k]!)];
      const along = [0, 1, 2].reduce((sum, i) => sum + ((to[i]! - from[i]!) / gap) * (b[i]! - a[i]!), 0);
      expect(Math.abs(along)).toBeLessThan(0.005);
      expect(played.contacts[k]!.spaceMm).toBe(0);
    });
  });

  it('every stage makes the same share, and there is nothing beyond the last', () => {
    const at = (stage: number) => playStage(analysis, outcome, stage);
    const k = arch.gaps.indexOf(0.6);
    const spaces = [0, 1, 2, 3, 4].map((stage) => at(stage).contacts[k]!.spaceMm);
    expect(spaces[1]).toBeCloseTo(0.4, 9);
    expect(spaces[2]).toBeCloseTo(0.2, 9);
    expect(spaces[3]).toBe(0);
    expect(spaces[4]).toBe(0);
    expect(at(-1).stage).toBe(0);
    expect(at(9).stage).toBe(3);
  });

  it('crowns move in the occlusal plane only', () => {
    for (const tooth of outcome.teeth) {
      const centre = analysis.teeth.find((t) => t.tooth === tooth.tooth)!.centre;
      const tip = [centre[0] + 3, centre[1] + 1, centre[2] - 2] as const;
      const moved = movePoint(crownMotion(TILTED, centre, tooth), tip);
      const rise = (moved[0] - tip[0]) * -0.6 + (moved[2] - tip[2]) * 0.8;
      expect(Math.abs(rise)).toBeLessThan(1e-12);
    }
  });

  it('an exaggerated motion goes as many times as far', () => {
    const tooth = outcome.teeth[6]!;
    const centre = analysis.teeth[6]!.centre;
    const plain = movePoint(crownMotion(TILTED, centre, tooth), centre);
    const five = movePoint(crownMotion(TILTED, centre, tooth, 5), centre);
    for (let i = 0; i < 3; i += 1) expect(five[i]! - centre[i]!).toBeCloseTo(5 * (plain[i]! - centre[i]!), 9);
  });

  it('stages shown: those to order, those of the whole motion when they run out, none for what cannot move', () => {
    const long = planClosure(analysisOf(textbookArch(gapsAt(UPPER_14, { '11-21': 2 }))), SETTINGS);
    const whole = long.spans[long.spans.length - 1]!;
    expect(whole.verdict).toBe('too-many-stages');
    expect(stagesShown(whole)).toBe(whole.stagesNeeded);
    expect(stagesShown(whole)).toBeGreaterThan(3);
    const held = planClosure(analysisOf(arch, { frame: UPRIGHT, fixed: [13, 12] }), SETTINGS);
    const stuck = held.spans[0]!;
    expect(stuck.verdict).toBe('infeasible');
    expect(stagesShown(stuck)).toBe(0);
    expect(playStage(analysis, stuck, 2).teeth).toEqual([]);
  });
});
