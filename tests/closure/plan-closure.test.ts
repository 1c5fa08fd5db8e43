import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { planClosure } from '../../src/closure/plan-closure.ts';
import { DEFAULT_CLOSURE_SETTINGS } from '../../src/closure/settings.ts';
import type { ClosurePlan, SpanOutcome } from '../../src/closure/types.ts';
import type { OcclusalFrame, ToothNumber } from '../../src/teeth/types.ts';
import { analysisOf, gapsAt, lift, makeAnalysis, saysOf, UPRIGHT } from './make-analysis.ts';
import { TEXTBOOK_WIDTHS, type TextbookArch, textbookArch, UPPER_14 } from './textbook-arch.ts';

const SETTINGS = DEFAULT_CLOSURE_SETTINGS;

function span(plan: ClosurePlan, from: ToothNumber, to: ToothNumber): SpanOutcome {
  const found = plan.spans.find((s) => s.from === from && s.to === to);
  if (!found) throw new Error(`no span ${from}-${to}`);
  return found;
}

function spaceAfter(outcome: SpanOutcome, name: string): number {
  const found = outcome.contacts.find((c) => `${c.toothA}-${c.toothB}` === name);
  if (!found) throw new Error(`no contact ${name}`);
  return found.afterMm;
}

function opened(outcome: SpanOutcome): string[] {
  return outcome.contacts.filter((c) => c.opened).map((c) => `${c.toothA}-${c.toothB}`);
}

/** Within 0.001 of a worked number printed with three decimals. */
function near(value: number, expected: number): void {
  expect(Math.abs(value - expected)).toBeLessThan(0.001);
}

describe('worked numbers of docs/method.md, to 0.001', () => {
  it('P6: one space of 0.40 at the midline', () => {
    const plan = planClosure(analysisOf(textbookArch(gapsAt(UPPER_14, { '11-21': 0.4 }))), SETTINGS);
    const short = span(plan, 13, 23);
    near(spaceAfter(short, '14-13'), 0.092);
    near(spaceAfter(short, '23-24'), 0.092);
    near(spaceAfter(short, '11-21'), 0);
    expect(Math.abs(short.arch!.largestMotionMm - 0.22)).toBeLessThan(0.005);
    near(short.teeth[6]!.dyMm, -0.111);
    near(spaceAfter(span(plan, 14, 24), '15-14'), 0.072);
    near(spaceAfter(span(plan, 15, 25), '16-15'), 0.06);
    near(spaceAfter(span(plan, 16, 26), '17-16'), 0.045);
    const whole = span(plan, 17, 27);
    expect(opened(whole)).toEqual([]);
    near(whole.arch!.largestMotionMm, 0.259);
    expect(plan.spans.map((s) => [s.from, s.to])).toEqual([
      [13, 23],
      [14, 24],
      [15, 25],
      [16, 26],
      [17, 27],
    ]);
    // 0.092 behind the canines is within the limit, so the shortest span does; it says how near it comes.
    expect(plan.answer).toBe('tighten');
    expect(plan.proposal).toEqual({ from: 13, to: 23, stages: 2 });
    expect(plan.reasons.map((r) => r.code)).toContain('NEAR_LIMIT');
    expect(plan.reasons.find((r) => r.code === 'LONGER_OPENS_NOTHING')?.sentence).toMatch(
      /^17 to 27 in 2 stages/,
    );
  });

  it('P6 with a limit of 0.05: only spans that open less are left', () => {
    const arch = textbookArch(gapsAt(UPPER_14, { '11-21': 0.4 }));
    const plan = planClosure(analysisOf(arch), { ...SETTINGS, limitMm: 0.05 });
    expect(span(plan, 15, 25).verdict).toBe('opens-others');
    expect(plan.proposal).toMatchObject({ from: 16, to: 26 });
  });

  it('P7: two spaces before the first molars', () => {
    const arch = textbookArch(gapsAt(UPPER_14, { '16-15': 0.3, '25-26': 0.3 }));
    const plan = planClosure(analysisOf(arch), SETTINGS);
    for (const [from, to] of [
      [13, 23],
      [14, 24],
      [15, 25],
    ] as const) {
      const outcome = span(plan, from, to);
      expect(outcome.verdict).toBe('nothing-to-close');
      expect(outcome.stages).toBe(0);
      expect(spaceAfter(outcome, '16-15')).toBe(0.3);
      expect(outcome.teeth.every((t) => t.dxMm === 0 && t.dyMm === 0 && t.rotationRad === 0)).toBe(true);
    }
    const molar = span(plan, 16, 26);
    near(spaceAfter(molar, '17-16'), 0.223);
    near(spaceAfter(molar, '26-27'), 0.223);
    expect(opened(molar)).toEqual(['17-16', '26-27']);
    expect(molar.verdict).toBe('opens-others');
    expect(molar.reasons.map((r) => r.code)).toContain('ENDS_AT_FIRST_MOLAR');
    const whole = span(plan, 17, 27);
    expect(whole.verdict).toBe('closes-all');
    expect(Math.abs(whole.arch!.largestMotionMm - 0.18)).toBeLessThan(0.005);
    expect(plan.proposal).toEqual({ from: 17, to: 27, stages: 1 });
  });

  it('P8: three uneven spaces', () => {
    const arch = textbookArch(gapsAt(UPPER_14, { '13-12': 0.25, '11-21': 0.35, '22-23': 0.6 }));
    const plan = planClosure(analysisOf(arch), SETTINGS);
    const short = span(plan, 13, 23);
    near(spaceAfter(short, '14-13'), 0.285);
    near(spaceAfter(short, '23-24'), 0.476);
    const molar = span(plan, 16, 26);
    near(spaceAfter(molar, '17-16'), 0.148);
    near(spaceAfter(molar, '26-27'), 0.222);
    const whole = span(plan, 17, 27);
    expect(opened(whole)).toEqual([]);
    expect(Math.abs(whole.arch!.largestMotionMm - 0.6)).toBeLessThan(0.005);
    expect(whole.verdict).toBe('closes-all');
    // 0.603 mm asks for 3.015 stages; after 3 the widest space is far below the limit, so a fourth is no reason.
    expect(whole.stagesNeeded).toBe(4);
    expect(plan.proposal).toEqual({ from: 17, to: 27, stages: 3 });
    expect(Math.max(...whole.contacts.map((c) => c.afterMm))).toBeLessThan(0.01);
  });
});

/** Mirror image: x changes sign, right and left numbers change places. */
function mirrored(arch: TextbookArch): TextbookArch {
  const flip = (p: readonly [number, number]): [number, number] => [-p[0], p[1]];
  const other = (t: ToothNumber): ToothNumber => (t < 20 ? t + 10 : t - 10);
  return {
    teeth: arch.teeth.map(other).reverse(),
    centres: arch.centres.map(flip).reverse(),
    pointsA: arch.pointsB.map(flip).reverse(),
    pointsB: arch.pointsA.map(flip).reverse(),
    gaps: [...arch.gaps].reverse(),
  };
}

const randomArch = fc
  .record({
    W: fc.double({ min: 54, max: 64, noNaN: true }),
    D: fc.double({ min: 42, max: 48, noNaN: true }),
    stretch: fc.array(fc.double({ min: 0.9, max: 1.1, noNaN: true }), { minLength: 14, maxLength: 14 }),
    spaces: fc.array(
      fc.oneof(
        { weight: 3, arbitrary: fc.constant(0) },
        { weight: 2, arbitrary: fc.double({ min: 0, max: 0.6, noNaN: true }) },
      ),
      { minLength: 13, maxLength: 13 },
    ),
  })
  .map(({ W, D, stretch, spaces }) => {
    // Small enough that the row of teeth never outruns the curve.
    const widths = TEXTBOOK_WIDTHS.map((w, i) => w * stretch[i]! * 0.8);
    return textbookArch(spaces, { W, D }, widths);
  });

describe('what has to hold for every arch', () => {
  it('no contact is pressed below zero, what is drawn reaches zero, closed space equals lost perimeter', () => {
    let moved = 0;
    fc.assert(
      fc.property(randomArch, (arch) => {
        const plan = planClosure(analysisOf(arch), { ...SETTINGS, maxStages: 100 });
        for (const outcome of plan.spans) {
          let change = 0;
          for (const contact of outcome.contacts) {
            expect(contact.afterMm).toBeGreaterThan(-1e-6);
            change += contact.afterMm - contact.countedMm!;
            if (outcome.verdict !== 'nothing-to-close' && contact.insideSpan) {
              expect(contact.afterMm).toBeCloseTo(0, 6);
            }
          }
          expect(outcome.arch!.perimeterChangeMm).toBeCloseTo(change, 6);
          if (outcome.stages! > 0) moved += 1;
        }
      }),
      { seed: 31, numRuns: 60 },
    );
    expect(moved).toBeGreaterThan(100);
  });

  it('tensions are positive as long as the chain only pulls', () => {
    fc.assert(
      fc.property(randomArch, (arch) => {
        const open = { ...arch, gaps: arch.gaps.map((g) => Math.max(g, 0.12)) };
        const plan = planClosure(analysisOf(open), { ...SETTINGS, maxStages: 100 });
        const whole = plan.spans[plan.spans.length - 1]!;
        expect(whole.contacts.every((c) => c.tension! > 0)).toBe(true);
      }),
      { seed: 32, numRuns: 40 },
    );
  });

  it('the mirrored mouth gets the mirrored plan', () => {
    fc.assert(
      fc.property(randomArch, (arch) => {
        const plan = planClosure(analysisOf(arch), SETTINGS);
        const image = planClosure(analysisOf(mirrored(arch)), SETTINGS);
        const other = (t: ToothNumber): ToothNumber => (t < 20 ? t + 10 : t - 10);
        expect(image.answer).toBe(plan.answer);
        expect(image.spans.length).toBe(plan.spans.length);
        for (const outcome of plan.spans) {
          const twin = span(image, other(outcome.to), other(outcome.from));
          expect(twin.verdict).toBe(outcome.verdict);
          expect(twin.stages).toBe(outcome.stages);
          for (const tooth of outcome.teeth) {
            const t = twin.teeth.find((candidate) => candidate.tooth === other(tooth.tooth))!;
            expect(t.dxMm).toBeCloseTo(-tooth.dxMm, 7);
            expect(t.dyMm).toBeCloseTo(tooth.dyMm, 7);
            expect(t.rotationRad).toBeCloseTo(-tooth.rotationRad, 7);
            expect(t.mesialMm).toBeCloseTo(tooth.mesialMm, 7);
            expect(t.buccalMm).toBeCloseTo(tooth.buccalMm, 7);
          }
          expect(twin.arch!.midlineShiftMm).toBeCloseTo(-outcome.arch!.midlineShiftMm, 7);
          expect(twin.arch!.depthChangeMm).toBeCloseTo(outcome.arch!.depthChangeMm, 7);
        }
      }),
      { seed: 33, numRuns: 30 },
    );
  });

  it('the pose of the scan changes nothing', () => {
    fc.assert(
      fc.property(
        randomArch,
        fc.array(fc.double({ min: -1, max: 1, noNaN: true }), { minLength: 6, maxLength: 6 }),
        (arch, u) => {
          const plan = planClosure(analysisOf(arch), SETTINGS);
          const turned = planClosure(analysisOf(arch, { frame: randomFrame(u) }), SETTINGS);
          expect(turned.answer).toBe(plan.answer);
          expect(turned.proposal).toEqual(plan.proposal);
          turned.spans.forEach((outcome, i) => {
            const still = plan.spans[i]!;
            outcome.contacts.forEach((c, k) => {
              expect(c.afterMm).toBeCloseTo(still.contacts[k]!.afterMm, 6);
            });
            outcome.teeth.forEach((t, k) => {
              expect(t.dxMm).toBeCloseTo(still.teeth[k]!.dxMm, 6);
              expect(t.rotationRad).toBeCloseTo(still.teeth[k]!.rotationRad, 6);
            });
          });
        },
      ),
      { seed: 34, numRuns: 30 },
    );
  });

  it('a mouth twice as large moves twice as far', () => {
    const arch = textbookArch(gapsAt(UPPER_14, { '13-12': 0.25, '11-21': 0.35, '22-23': 0.6 }));
    const twice = (p: readonly [number, number]): [number, number] => [2 * p[0], 2 * p[1]];
    const large: TextbookArch = {
      teeth: arch.teeth,
      centres: arch.centres.map(twice),
      pointsA: arch.pointsA.map(twice),
      pointsB: arch.pointsB.map(twice),
      gaps: arch.gaps.map((g) => 2 * g),
    };
    const plan = planClosure(analysisOf(arch), { ...SETTINGS, maxStages: 100 });
    const doubled = planClosure(analysisOf(large), {
      ...SETTINGS,
      limitMm: 0.2,
      perStageMm: 0.5,
      rotationArmMm: 8,
      maxStages: 100,
    });
    expect(doubled.proposal).toEqual(plan.proposal);
    plan.spans.forEach((outcome, i) => {
      outcome.teeth.forEach((tooth, k) => {
        expect(doubled.spans[i]!.teeth[k]!.dxMm).toBeCloseTo(2 * tooth.dxMm, 9);
        expect(doubled.spans[i]!.teeth[k]!.rotationRad).toBeCloseTo(tooth.rotationRad, 9);
      });
    });
  });
});

/** A right-handed orthonormal frame anywhere. */
function randomFrame(u: readonly number[]): OcclusalFrame {
  const [a, b, c] = [u[0]! * Math.PI, u[1]! * Math.PI, u[2]! * Math.PI];
  const turn = (p: readonly number[], axis: 0 | 1 | 2, angle: number): number[] => {
    const out = [...p];
    const [i, j] = [(axis + 1) % 3, (axis + 2) % 3] as const;
    out[i] = Math.cos(angle) * p[i]! - Math.sin(angle) * p[j]!;
    out[j] = Math.sin(angle) * p[i]! + Math.cos(angle) * p[j]!;
    return out;
  };
  const whole = (p: readonly number[]): [number, number, number] =>
    turn(turn(turn(p, 0, a), 1, b), 2, c) as [number, number, number];
  return {
    origin: [u[3]! * 200, u[4]! * 200, u[5]! * 200],
    x: whole([1, 0, 0]),
    y: whole([0, 1, 0]),
    z: whole([0, 0, 1]),
  };
}

describe('directions of the teeth', () => {
  const arch = textbookArch(gapsAt(UPPER_14, { '11-21': 0.4 }));

  it('closing the midline space takes the incisors mesially and every tooth of the span with them', () => {
    const whole = span(planClosure(analysisOf(arch), SETTINGS), 17, 27);
    for (const tooth of whole.teeth) expect(tooth.mesialMm).toBeGreaterThan(0);
    const incisor = whole.teeth.find((t) => t.tooth === 11)!;
    expect(incisor.dxMm).toBeGreaterThan(0);
    expect(incisor.buccalMm).toBeLessThan(0);
    expect(Math.hypot(incisor.mesialMm, incisor.buccalMm)).toBeCloseTo(
      Math.hypot(incisor.dxMm, incisor.dyMm),
      9,
    );
  });

  it.each([
    ['upper', UPPER_14, 1],
    ['lower', [47, 46, 45, 44, 43, 42, 41, 31, 32, 33, 34, 35, 36, 37], -1],
  ] as const)('%s jaw: mesial and buccal are positive in both quadrants', (jaw, teeth, up) => {
    const frame: OcclusalFrame = { ...UPRIGHT, z: [0, 0, up] };
    const named = { [`${teeth[1]}-${teeth[2]}`]: 0.3, [`${teeth[11]}-${teeth[12]}`]: 0.3 };
    const whole = planClosure(
      analysisOf({ ...arch, teeth, gaps: gapsAt(teeth, named) }, { frame, jaw }),
      SETTINGS,
    ).spans.at(-1)!;
    const motion = (i: number) => whole.teeth[i]!;
    const at = (i: number) => arch.centres[i]!;
    // The molars behind the spaces come forward: mesial on either side, towards the front of the mouth.
    for (const i of [0, 1, 12, 13]) {
      expect(motion(i).mesialMm).toBeGreaterThan(0.01);
      expect(motion(i).dyMm).toBeGreaterThan(0);
    }
    // The premolars before them go back: distal, the canines with them.
    for (const i of [2, 3, 10, 11]) expect(motion(i).mesialMm).toBeLessThan(0);
    for (let i = 0; i < 14; i += 1) {
      const { mesialMm, buccalMm, dxMm, dyMm } = motion(i);
      expect(Math.hypot(mesialMm, buccalMm)).toBeCloseTo(Math.hypot(dxMm, dyMm), 9);
      // Buccal is away from the middle of the arch.
      const [x, y] = at(i);
      const along = [
        at(Math.min(13, i + 1))[0] - at(Math.max(0, i - 1))[0],
        at(Math.min(13, i + 1))[1] - at(Math.max(0, i - 1))[1],
      ] as const;
      const size = Math.hypot(along[0], along[1]);
      const outward = [-along[1] / size, along[0] / size] as const;
      expect(outward[0] * x + outward[1] * (y + 20)).toBeGreaterThan(0);
      expect(buccalMm).toBeCloseTo(outward[0] * dxMm + outward[1] * dyMm, 9);
    }
  });

  it('a frame whose x runs to the right tells the same mesial and buccal motions', () => {
    const named = gapsAt(UPPER_14, { '13-12': 0.3, '23-24': 0.5 });
    const plain = planClosure(analysisOf({ ...arch, gaps: named }), SETTINGS).spans.at(-1)!;
    // x and z turned about y: the same mouth seen from a frame whose x runs the other way.
    const flip = (p: readonly [number, number]): [number, number] => [-p[0], p[1]];
    const turned = planClosure(
      analysisOf(
        {
          ...arch,
          gaps: named,
          centres: arch.centres.map(flip),
          pointsA: arch.pointsA.map(flip),
          pointsB: arch.pointsB.map(flip),
        },
        { frame: { ...UPRIGHT, x: [-1, 0, 0] } },
      ),
      SETTINGS,
    ).spans.at(-1)!;
    plain.teeth.forEach((tooth, i) => {
      const twin = turned.teeth[i]!;
      expect(twin.mesialMm).toBeCloseTo(tooth.mesialMm, 9);
      expect(twin.buccalMm).toBeCloseTo(tooth.buccalMm, 9);
      expect(twin.rotationRad).toBeCloseTo(tooth.rotationRad, 9);
      expect(twin.dxMm).toBeCloseTo(-tooth.dxMm, 9);
    });
    expect(turned.arch!.midlineShiftMm).toBeCloseTo(plain.arch!.midlineShiftMm, 9);
    expect(turned.arch!.canineWidthChangeMm).toBeCloseTo(plain.arch!.canineWidthChangeMm!, 9);
  });

  it('a contact named from either side is the same contact', () => {
    const settings = (swap: boolean) => ({
      ...SETTINGS,
      floss: [{ toothA: swap ? 12 : 13, toothB: swap ? 13 : 12, finding: 'open' as const, spaceMm: 0.2 }],
      targets: [{ toothA: swap ? 21 : 11, toothB: swap ? 11 : 21, targetMm: -0.05 }],
    });
    const analysis = makeAnalysis({
      teeth: arch.teeth,
      centres: arch.centres,
      pointsA: arch.pointsA,
      pointsB: arch.pointsB,
      says: saysOf(arch.gaps).map((said, k) =>
        k === 4 ? { status: 'bridged', valueMm: null, upperBoundMm: 0.25 } : said,
      ),
    });
    const [one, other] = [false, true].map((swap) => planClosure(analysis, settings(swap)));
    expect(one!.spans).toEqual(other!.spans);
    expect(one!.spans.at(-1)!.contacts[4]!.countedMm).toBe(0.2);
    expect(one!.spans.at(-1)!.contacts[6]!.afterMm).toBeCloseTo(-0.05, 9);
  });

  it('a turn is about the occlusal axis by the right hand, also in a lower jaw, whose frame is left-handed', () => {
    // Same plane geometry, z towards the crowns' tops: up in a lower jaw, x still to the patient's left.
    const lowerTeeth = [47, 46, 45, 44, 43, 42, 41, 31, 32, 33, 34, 35, 36, 37];
    const upper = span(planClosure(analysisOf(arch), SETTINGS), 17, 27);
    const lowerFrame: OcclusalFrame = { ...UPRIGHT, z: [0, 0, -1] };
    const lower = span(
      planClosure(analysisOf({ ...arch, teeth: lowerTeeth }, { frame: lowerFrame, jaw: 'lower' }), SETTINGS),
      47,
      37,
    );
    for (const [outcome, frame] of [
      [upper, UPRIGHT],
      [lower, lowerFrame],
    ] as const) {
      const tooth = outcome.teeth[6]!;
      expect(Math.abs(tooth.rotationRad)).toBeGreaterThan(1e-4);
      // Turn the closest point about frame.z (Rodrigues) and compare with the space that the row promises.
      const at = (i: number, p: readonly [number, number]): [number, number] => {
        const t = outcome.teeth[i]!;
        const [cx, cy] = arch.centres[i]!;
        const [rx, ry] = [p[0] - cx, p[1] - cy];
        // z x r in scan axes, read back in the frame's x and y.
        const r = [rx, ry, 0] as const;
        const z = frame.z;
        const turned = [z[1] * r[2] - z[2] * r[1], z[2] * r[0] - z[0] * r[2]] as const;
        return [p[0] + t.dxMm + t.rotationRad * turned[0], p[1] + t.dyMm + t.rotationRad * turned[1]];
      };
      const a = at(6, arch.pointsA[6]!);
      const b = at(7, arch.pointsB[6]!);
      // The chord is shorter than the arc by 2e-5; a turn the wrong way would miss by 1e-3.
      expect(Math.abs(b[0] - a[0])).toBeLessThan(1e-4);
    }
  });
});

describe('arches that are not complete', () => {
  const lineOf = (
    teeth: readonly ToothNumber[],
    gaps: readonly number[],
  ): ReturnType<typeof makeAnalysis> => {
    const centres = teeth.map((_, i) => [i * 8 - 20, -0.05 * (i * 8 - 20) ** 2] as const);
    const between = (k: number, share: number): [number, number] => [
      centres[k]![0] + share * (centres[k + 1]![0] - centres[k]![0]),
      centres[k]![1] + share * (centres[k + 1]![1] - centres[k]![1]),
    ];
    return makeAnalysis({
      teeth,
      centres,
      pointsA: gaps.map((_, k) => between(k, 0.48)),
      pointsB: gaps.map((_, k) => between(k, 0.52)),
      says: saysOf(gaps),
    });
  };

  it.each([
    ['no tooth', [], []],
    ['one tooth', [11], []],
  ] as const)('%s: nothing to close, in words', (_, teeth, gaps) => {
    const plan = planClosure(lineOf(teeth, gaps), SETTINGS);
    expect(plan.answer).toBe('none-needed');
    expect(plan.reasons[0]!.code).toBe('NO_CONTACTS');
    expect(plan.spans).toEqual([]);
    expect(plan.proposal).toBeNull();
  });

  it('two teeth with a space: closed by drawing them together', () => {
    const plan = planClosure(lineOf([11, 21], [0.3]), SETTINGS);
    expect(plan.proposal).toEqual({ from: 11, to: 21, stages: 1 });
  });

  it('a quadrant without canine: what closes may open a contact that was not scanned, unless the rest is missing', () => {
    const quadrant = lineOf([17, 16, 15, 14], [0, 0.3, 0]);
    const plan = planClosure(quadrant, SETTINGS);
    expect(plan.spans.map((s) => [s.from, s.to])).toEqual([
      [15, 14],
      [16, 14],
      [17, 14],
    ]);
    expect(plan.answer).toBe('not-enough');
    expect(plan.proposal).toMatchObject({ from: 17, to: 14 });
    expect(span(plan, 17, 14).arch!.canineWidthChangeMm).toBeNull();
    // 14 is drawn back by what it does not share with the molars: that opens behind it if 13 stands there.
    const moved = span(plan, 17, 14).teeth.find(({ tooth }) => tooth === 14)!;
    expect(-moved.mesialMm).toBeGreaterThan(SETTINGS.limitMm);
    const [, first] = plan.reasons;
    expect(first!.code).toBe('CLOSES_WHAT_IS_SEEN');
    expect(first!.sentence).toContain(`between 13 and 14 by ${(-moved.mesialMm).toFixed(2)} mm`);
    expect(plan.reasons.find(({ code }) => code === 'END_UNKNOWN')!.sentence).toContain(
      'The row ends at 14 and nothing says that 13 is missing',
    );

    const alone = planClosure({ ...quadrant, missing: [13, 12, 11, 21, 22, 23, 24, 25, 26, 27] }, SETTINGS);
    expect(alone.answer).toBe('tighten');
    expect(alone.reasons.map(({ code }) => code)).not.toContain('END_UNKNOWN');
  });

  it('a front row alone: what it may open behind it below the limit is said and does not decide', () => {
    const teeth = [13, 12, 11, 21, 22, 23];
    const plan = planClosure(lineOf(teeth, gapsAt(teeth, { '11-21': 0.18 })), SETTINGS);
    expect(plan.answer).toBe('tighten');
    expect(plan.reasons.find(({ code }) => code === 'END_UNKNOWN')!.sentence).toMatch(
      /^The row ends at 13 and 23 and nothing says that 14 and 24 are missing: the proposed span would open a contact there by up to 0\.0\d mm, not above the limit\./,
    );
  });

  it('third molars are the ends when they stand, and unequal sides each end at their last tooth', () => {
    const teeth = [18, 17, 16, 15, 14, 13, 12, 11, 21, 22, 23, 24, 25];
    const plan = planClosure(lineOf(teeth, gapsAt(teeth, { '11-21': 0.3 })), { ...SETTINGS, maxStages: 9 });
    expect(plan.spans.map((s) => `${s.from}-${s.to}`)).toEqual([
      '13-23',
      '14-24',
      '15-25',
      '16-25',
      '17-25',
      '18-25',
    ]);
    expect(opened(span(plan, 18, 25))).toEqual([]);
    expect(opened(span(plan, 17, 25))).toEqual(['18-17']);
  });

  it('an edentulous site inside the span keeps its width and is told', () => {
    const arch = textbookArch(gapsAt(UPPER_14, { '11-21': 0.4 }));
    // Take out 14: the pair 15-13 becomes a site.
    const drop = 3;
    const says = saysOf(arch.gaps);
    const keep = <T>(values: readonly T[], i: number): T[] => values.filter((_, k) => k !== i);
    const analysis = makeAnalysis({
      teeth: keep(arch.teeth, drop),
      centres: keep(arch.centres, drop),
      pointsA: keep(arch.pointsA, drop),
      pointsB: keep(arch.pointsB, drop - 1),
      says: [...says.slice(0, 2), { status: 'missing-tooth', valueMm: null }, ...says.slice(4)],
      widths: keep(TEXTBOOK_WIDTHS, drop),
      missing: [14],
    });
    const plan = planClosure(analysis, SETTINGS);
    const whole = span(plan, 17, 27);
    const site = whole.contacts.find((c) => c.toothA === 15 && c.toothB === 13)!;
    expect(site.afterMm).toBe(0);
    expect(site.beforeMm).toBeNull();
    expect(whole.reasons.map((r) => r.code)).toContain('SITE_HELD');
    // A span that ends at the site widens it; that is no opened contact, but it is said.
    const short = span(plan, 13, 23);
    const widened = short.contacts.find((c) => c.toothA === 15 && c.toothB === 13)!;
    expect(widened.afterMm).toBeGreaterThan(0.05);
    expect(widened.opened).toBe(false);
    expect(plan.proposal).toMatchObject({ from: 13, to: 23 });
    expect(plan.reasons.find((r) => r.code === 'SITE_CHANGES')?.sentence).toMatch(
      /15-13 becomes 0\.\d\d mm wider/,
    );
  });

  it('spaces on one side: one-sided spans are tried as well', () => {
    const arch = textbookArch(gapsAt(UPPER_14, { '15-14': 0.2 }));
    const plan = planClosure(analysisOf(arch), SETTINGS);
    const names = plan.spans.map((s) => `${s.from}-${s.to}`);
    expect(names.slice(0, 5)).toEqual(['13-23', '14-24', '15-25', '16-26', '17-27']);
    expect(names.slice(5)).toEqual(['13-11', '14-11', '15-11', '16-11', '17-11']);
    // A space across the midline lies on both sides.
    const middle = planClosure(analysisOf(textbookArch(gapsAt(UPPER_14, { '11-21': 0.2 }))), SETTINGS);
    expect(middle.spans.length).toBe(5);
  });
});

describe('held teeth', () => {
  it('one fixed tooth stays where it is and the others close towards it', () => {
    const arch = textbookArch(gapsAt(UPPER_14, { '11-21': 0.3 }));
    const plan = planClosure(analysisOf(arch, { fixed: [16] }), SETTINGS);
    const whole = span(plan, 17, 27);
    const held = whole.teeth.find((t) => t.tooth === 16)!;
    expect([held.dxMm, held.dyMm, held.rotationRad]).toEqual([0, 0, 0]);
    expect(spaceAfter(whole, '11-21')).toBeCloseTo(0, 6);
    expect(whole.reasons.map((r) => r.code)).toContain('FIXED_INSIDE');
  });

  it('a space between two fixed teeth is not for tightening, and the sentence names it', () => {
    const arch = textbookArch(gapsAt(UPPER_14, { '16-15': 0.4 }));
    const plan = planClosure(analysisOf(arch), { ...SETTINGS, fixed: [16, 15] });
    expect(plan.answer).toBe('not-by-tightening');
    expect(plan.proposal).toBeNull();
    expect(span(plan, 17, 27).verdict).toBe('infeasible');
    expect(span(plan, 17, 27).stages).toBeNull();
    expect(plan.reasons.some((r) => r.code === 'CONTRADICTION' && r.sentence.includes('16-15'))).toBe(true);
  });

  it('neighbours between two fixed teeth that would have to be levered are a finding, not a number', () => {
    const arch = textbookArch(gapsAt(UPPER_14, { '15-14': 0.4 }));
    const plan = planClosure(analysisOf(arch), { ...SETTINGS, fixed: [16, 13] });
    const whole = span(plan, 17, 27);
    expect(whole.verdict).toBe('infeasible');
    expect(whole.reasons[0]!.code).toBe('ABSURD_MOTION');
    expect(plan.answer).toBe('not-by-tightening');
  });

  it('one space between fixed teeth and one that can be closed: not enough, with what stays', () => {
    const arch = textbookArch(gapsAt(UPPER_14, { '17-16': 0.4, '22-23': 0.3 }));
    const plan = planClosure(analysisOf(arch), { ...SETTINGS, fixed: [17, 16] });
    expect(plan.answer).toBe('not-enough');
    expect(plan.proposal).not.toBeNull();
    const proposed = span(plan, plan.proposal!.from, plan.proposal!.to);
    expect(spaceAfter(proposed, '22-23')).toBeCloseTo(0, 6);
    expect(spaceAfter(proposed, '17-16')).toBeCloseTo(0.4, 9);
    expect(plan.reasons.find((r) => r.code === 'NOT_ENOUGH')?.sentence).toContain('17-16 at 0.40 mm');
  });
});

it('is pure: neither the analysis nor the settings change, and the same input gives the same plan', () => {
  const analysis = analysisOf(textbookArch(gapsAt(UPPER_14, { '11-21': 0.4 })));
  const before = structuredClone(analysis);
  const first = planClosure(analysis, SETTINGS);
  const second = planClosure(analysis, SETTINGS);
  expect(analysis).toEqual(before);
  expect(second).toEqual(first);
  expect(structuredClone(first)).toEqual(first);
});

it('a centre that is no number is refused in a sentence', () => {
  const analysis = analysisOf(textbookArch(gapsAt(UPPER_14, { '11-21': 0.4 })));
  const broken = {
    ...analysis,
    teeth: analysis.teeth.map((t, i) => (i === 3 ? { ...t, centre: lift(UPRIGHT, [Number.NaN, 0]) } : t)),
  };
  expect(() => planClosure(broken, SETTINGS)).toThrowError(/tooth centre is not a finite number/);
});
