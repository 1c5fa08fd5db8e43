import { describe, expect, it } from 'vitest';
import { archModel, asksForClosing, isOpenAfter } from '../../src/closure/arch-model.ts';
import { DEFAULT_CLOSURE_SETTINGS } from '../../src/closure/settings.ts';
import type { Contact } from '../../src/contacts/types.ts';
import type { Vec3 } from '../../src/geometry/types.ts';
import { makeAnalysis, saysOf, UPRIGHT } from './make-analysis.ts';

const SETTINGS = DEFAULT_CLOSURE_SETTINGS;

/** 11 and 21 side by side, 8.4 mm apart; `change` rewrites their contact. */
function pair(change: Partial<Contact>, settings = SETTINGS) {
  const analysis = makeAnalysis({
    teeth: [11, 21],
    centres: [
      [-4.2, 0],
      [4.2, 0],
    ],
    pointsA: [[-0.2, 0]],
    pointsB: [[0.2, 0]],
    says: saysOf([0.4]),
    widths: [8, 8],
  });
  const model = archModel({ ...analysis, contacts: [{ ...analysis.contacts[0]!, ...change }] }, settings);
  return { model, contact: model.contacts[0]! };
}

describe('direction along which a space changes', () => {
  it('closest points side by side: along them', () => {
    expect(pair({}).contact.direction).toEqual([1, 0]);
  });

  it('closest points at different heights: the share of a motion in the plane that counts, not stretched', () => {
    const a: Vec3 = [-0.2, 0, 0];
    const b: Vec3 = [0.2, 0, 0.3];
    const [nx, ny] = pair({ pointA: a, pointB: b }).contact.direction;
    // Unit vector (0.8, 0, 0.6) projected: 1 mm of motion changes the distance by 0.8 mm to first order.
    expect(nx).toBeCloseTo(0.8, 12);
    expect(ny).toBe(0);
    const eps = 1e-6;
    const change = (Math.hypot(0.4 + eps, 0.3) - 0.5) / eps;
    expect(nx).toBeCloseTo(change, 5);
  });

  it('closest points that touch, lie over each other or face the wrong way: between the centres', () => {
    const over: Partial<Contact> = { pointA: [0, 0, 0], pointB: [0.05, 0, 0.5] };
    const touching: Partial<Contact> = { pointA: [0, 0, 0], pointB: [0.001, 0.01, 0] };
    const backwards: Partial<Contact> = { pointA: [0.2, 0, 0], pointB: [-0.2, 0.1, 0] };
    const none: Partial<Contact> = { pointA: null, pointB: null };
    for (const change of [over, touching, backwards, none])
      expect(pair(change).contact.direction).toEqual([1, 0]);
  });

  it('without points the contact lies half a crown from the centre', () => {
    const { contact } = pair({ pointA: null, pointB: null });
    expect(contact.pointA[0]).toBeCloseTo(-0.2, 12);
    expect(contact.pointB[0]).toBeCloseTo(0.2, 12);
  });
});

describe('what a contact counts as', () => {
  it('a closed contact without number counts from zero and says so by null', () => {
    const { contact } = pair({ status: 'bridged', gap: null, upperBoundMm: 0.2 });
    expect(contact).toMatchObject({
      beforeMm: null,
      countedMm: 0,
      upperBoundMm: 0.2,
      open: false,
      unsettled: true,
    });
    expect(asksForClosing(contact, 0.1)).toBe(false);
  });

  it('a bound that was only assumed of scanners leaves a bridged contact unsettled under any limit', () => {
    const said = { status: 'bridged', gap: null, upperBoundMm: 0.5 } as const;
    const loose = { ...SETTINGS, limitMm: 0.51 };
    expect(pair({ ...said, notes: ['bound-scanner'] }, loose).contact.unsettled).toBe(true);
    expect(pair(said, loose).contact.unsettled).toBe(false);
  });

  it('the upper bound of a measured space is its interval', () => {
    const { contact } = pair({});
    expect(contact.upperBoundMm).toBeCloseTo(0.43, 12);
  });

  it('a pair without any contact record is a site that is held', () => {
    const { model } = pair({ toothA: 12 });
    expect(model.contacts[0]).toMatchObject({ kind: 'site', beforeMm: null, countedMm: 0, open: false });
    expect(isOpenAfter(model.contacts[0]!, 5, 0.1)).toBe(false);
  });

  it('open after the stages: above the limit, or short of contact where floss found it open', () => {
    const plain = pair({ status: 'undecided' }).contact;
    expect(isOpenAfter(plain, 0.1, 0.1)).toBe(false);
    expect(isOpenAfter(plain, 0.101, 0.1)).toBe(true);
    const settings = { ...SETTINGS, floss: [{ toothA: 21, toothB: 11, finding: 'open' as const }] };
    const flossed = pair({ status: 'undecided' }, settings).contact;
    expect(isOpenAfter(flossed, 0.05, 0.1)).toBe(true);
    expect(isOpenAfter(flossed, 0.005, 0.1)).toBe(false);
  });
});

describe('directions of a tooth', () => {
  it('mesial runs to the midline on both sides, buccal out of the arch, in either jaw and frame', () => {
    const corners = [
      [-20, 0],
      [-15, 15],
      [-4, 24],
      [4, 24],
      [15, 15],
      [20, 0],
    ] as const;
    for (const { teeth, flip } of [
      { teeth: [16, 13, 11, 21, 23, 26], flip: 1 },
      { teeth: [46, 43, 41, 31, 33, 36], flip: 1 },
      // A frame whose x runs to the patient's right.
      { teeth: [46, 43, 41, 31, 33, 36], flip: -1 },
    ]) {
      const centres = corners.map(([x, y]) => [x * flip, y] as const);
      const model = archModel(
        makeAnalysis({
          teeth,
          centres,
          pointsA: centres.slice(1),
          pointsB: centres.slice(1),
          says: saysOf([0, 0, 0, 0, 0]),
          frame: UPRIGHT,
        }),
        SETTINGS,
      );
      model.teeth.forEach((tooth, i) => {
        const [x, y] = centres[i]!;
        // Away from a point inside the arch.
        expect(tooth.buccal[0] * x + tooth.buccal[1] * (y - 2)).toBeGreaterThan(0);
        // The first molar's way to the midline is forwards, the incisor's is across.
        if (tooth.digit === 6) expect(tooth.mesial[1]).toBeGreaterThan(0.5);
        if (tooth.digit === 1) expect(tooth.mesial[0] * -x).toBeGreaterThan(0);
      });
    }
  });
});
