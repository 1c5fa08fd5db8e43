import { describe, expect, it } from 'vitest';
import { coarseGap, contactWithLimit, decideStatus } from '../../src/contacts/decide.ts';
import type { Contact, GapEstimate } from '../../src/contacts/types.ts';

const gap = (valueMm: number, u95Mm: number, basis: GapEstimate['basis'] = 'patch'): GapEstimate => ({
  valueMm,
  u95Mm,
  basis,
  terms: [],
});
const evidence = { missingTooth: false, gap: null, bridge: 'none', upperBoundMm: null, notes: [] } as const;

describe('decideStatus', () => {
  it('is guarded both ways: the whole interval must lie on one side of the limit', () => {
    const decide = (g: GapEstimate) => decideStatus({ ...evidence, gap: g }, 0.1);
    expect(decide(gap(0.3, 0.06))).toBe('open');
    expect(decide(gap(0.15, 0.06))).toBe('undecided');
    expect(decide(gap(0.05, 0.06))).toBe('undecided');
    expect(decide(gap(0.03, 0.06))).toBe('closed');
    // exactly at the border nothing is proven
    expect(decide(gap(0.125, 0.025))).toBe('undecided');
    expect(decide(gap(0.0625, 0.0375))).toBe('undecided');
  });

  it('calls an overlap only what separate shells show beyond their uncertainty', () => {
    expect(decideStatus({ ...evidence, gap: gap(-0.1, 0.03, 'crown-shells') }, 0.1)).toBe('overlap');
    expect(decideStatus({ ...evidence, gap: gap(-0.02, 0.03, 'crown-shells') }, 0.1)).toBe('closed');
    expect(decideStatus({ ...evidence, gap: gap(-0.1, 0.03) }, 0.1)).toBe('closed');
    expect(decideStatus({ ...evidence, notes: ['depth-unknown'] }, 0.1)).toBe('overlap');
  });

  it('never gives a bridged contact more than its bound allows', () => {
    const bridged = { ...evidence, bridge: 'full', upperBoundMm: 0.18 } as const;
    expect(decideStatus(bridged, 0.1)).toBe('bridged');
    expect(decideStatus(bridged, 0.18)).toBe('bridged');
    expect(decideStatus(bridged, 0.2)).toBe('closed');
    expect(decideStatus({ ...bridged, upperBoundMm: null }, 5)).toBe('bridged');
    // a bound that only the scanner's habit gives was not seen at this contact
    expect(decideStatus({ ...bridged, notes: ['bound-scanner'] }, 5)).toBe('bridged');
  });

  it('says so when there is nothing to decide on', () => {
    expect(decideStatus({ ...evidence, upperBoundMm: 0.05 }, 0.1)).toBe('not-measurable');
    expect(decideStatus({ ...evidence, missingTooth: true, gap: gap(3, 0.1) }, 0.1)).toBe('missing-tooth');
  });
});

describe('contactWithLimit', () => {
  const contact: Contact = {
    toothA: 11,
    toothB: 21,
    status: 'open',
    gap: gap(0.16, 0.03),
    upperBoundMm: null,
    nearestMm: 0.14,
    clearanceMm: 0.17,
    bridge: 'none',
    bridgeHeightMm: null,
    bridgeWidthMm: null,
    pointA: [0, 0, 0],
    pointB: [0.16, 0, 0],
    closingDirection: [1, 0, 0],
    heightMm: 2,
    slipMm: 0,
    limitMm: 0.1,
    notes: [],
  };

  it('decides anew and touches nothing that was measured', () => {
    expect([0.05, 0.1, 0.14, 0.2].map((limit) => contactWithLimit(contact, limit).status)).toEqual([
      'open',
      'open',
      'undecided',
      'closed',
    ]);
    const { status, limitMm, ...rest } = contactWithLimit(contact, 0.2);
    const { status: before, limitMm: limitBefore, ...same } = contact;
    expect([status, limitMm, before, limitBefore]).toEqual(['closed', 0.2, 'open', 0.1]);
    expect(rest).toEqual(same);
    const site = { ...contact, status: 'missing-tooth' as const, gap: null };
    expect(contactWithLimit(site, 0.2).status).toBe('missing-tooth');
  });

  it('gives a coarse scan a number only many edges above the limit, and takes it back', () => {
    expect(coarseGap(2.59, 0.5, 0.1)).toBeNull();
    const plain = coarseGap(2.7, 0.5, 0.1);
    expect(plain).toMatchObject({ valueMm: 2.7, u95Mm: 0.5, basis: 'mesh-minimum' });
    const coarse: Contact = { ...contact, gap: plain, nearestMm: 2.7, coarseEdgeMm: 0.5 };
    expect(contactWithLimit(coarse, 0.1)).toMatchObject({ status: 'open', gap: plain });
    expect(contactWithLimit(coarse, 0.5)).toMatchObject({
      status: 'not-measurable',
      gap: null,
      upperBoundMm: 2.7 + 0.5,
    });
    expect(contactWithLimit(contactWithLimit(coarse, 0.5), 0.1)).toMatchObject({
      status: 'open',
      gap: plain,
      upperBoundMm: null,
    });
  });

  it('gives a coarse scan no number beside a web, whatever the limit', () => {
    const partly: Contact = {
      ...contact,
      status: 'bridged',
      gap: null,
      bridge: 'partial',
      nearestMm: 3,
      upperBoundMm: 3.4,
      coarseEdgeMm: 0.4,
    };
    expect(contactWithLimit(partly, 0.1)).toMatchObject({ status: 'bridged', gap: null, upperBoundMm: 3.4 });
  });
});
