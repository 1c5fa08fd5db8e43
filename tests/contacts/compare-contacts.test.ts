import { describe, expect, it } from 'vitest';
import { compareContacts, type PlannedSpace } from '../../src/contacts/compare-contacts.ts';
import type { Analysis, ScannerProfile } from '../../src/contacts/types.ts';
import { IDENTITY_MOTION } from '../../src/geometry/rigid.ts';
import type { ArchAlignment } from '../../src/teeth/align-arch.ts';
import { type ContactSpec, makeAnalysis } from '../helpers/make-analysis.ts';

const open = (gapMm: number, u95Mm = 0.03): ContactSpec => ({ status: 'open', gapMm, u95Mm });
const closed = (gapMm: number, u95Mm = 0.03): ContactSpec => ({ status: 'closed', gapMm, u95Mm });
const undecided = (gapMm: number, u95Mm = 0.03): ContactSpec => ({ status: 'undecided', gapMm, u95Mm });
const bridged = (upperBoundMm: number): ContactSpec => ({ status: 'bridged', upperBoundMm });
const nothing: ContactSpec = { status: 'not-measurable', notes: ['one-sided'] };

function compared(
  before: ContactSpec,
  after: ContactSpec,
  planned: PlannedSpace[] = [],
  alignment: ArchAlignment | null = null,
) {
  const one = makeAnalysis({ contacts: { '13-12': before } });
  const two = makeAnalysis({ contacts: { '13-12': after } });
  return compareContacts(one, two, planned, alignment, true).find(
    ({ toothA, toothB }) => toothA === 13 && toothB === 12,
  )!;
}

/** Both crowns recognised, 12 moved by `x` mm along the contact's direction. */
function moved(x: number): ArchAlignment {
  const { contacts } = makeAnalysis({ contacts: { '13-12': open(0.3) } });
  const { closingDirection } = contacts.find(({ toothA, toothB }) => toothA === 13 && toothB === 12)!;
  const at = (tooth: number, s: number) => ({
    tooth,
    sighting: 'recognised' as const,
    motion: {
      ...IDENTITY_MOTION,
      translation: closingDirection.map((c) => s * c) as [number, number, number],
    },
    nearShare: 1,
    medianOffsetMm: 0.005,
    shiftMm: 0,
  });
  return { motion: IDENTITY_MOTION, teeth: [at(13, 0), at(12, x)], medianOffsetMm: 0.005 };
}

describe('compareContacts', () => {
  it.each([
    ['closed', open(0.3), closed(0.03)],
    ['partly-closed', open(0.5), open(0.3)],
    ['not-closed', open(0.3), open(0.28)],
    ['wider', open(0.3), open(0.4)],
    ['to-check', open(0.3), undecided(0.1)],
    ['to-check', open(0.3), bridged(0.2)],
    ['newly-open', bridged(0.2), open(0.4)],
    ['newly-open', undecided(0.1), open(0.3)],
    ['narrower', undecided(0.11), closed(0.02)],
    ['wider', closed(0.02), undecided(0.11)],
    ['unchanged', bridged(0.2), bridged(0.3)],
    ['unchanged', closed(0.02), closed(0.03)],
    ['not-comparable', open(0.3), nothing],
    ['not-comparable', nothing, open(0.3)],
  ] as const)('calls it %s', (kind, before, after) => {
    expect(compared(before, after).kind).toBe(kind);
  });

  it('adds the uncertainties of two scans in squares', () => {
    const { change, rangeMm } = compared(open(0.5, 0.03), open(0.3, 0.04));
    expect(change!.valueMm).toBeCloseTo(-0.2, 12);
    expect(change!.u95Mm).toBeCloseTo(0.05, 12);
    expect(rangeMm![0]).toBeCloseTo(-0.25, 12);
  });

  it('takes the systematic term once for one calibrated scanner, and twice for two', () => {
    const scanner: ScannerProfile = {
      name: 'bench',
      wavinessMm: 0.006,
      scaleShare: 0.002,
      systematicHalfWidthMm: 0.02,
      systematicBelowMm: 0.5,
      noBridgeGapMm: 0.5,
    };
    const terms = [
      { name: 'fit', type: 'A' as const, standardMm: 0.005, source: '' },
      { name: 'systematic', type: 'B' as const, standardMm: 0.012, source: '' },
    ];
    const make = (gapMm: number, name: string): Analysis => {
      const analysis = makeAnalysis({ contacts: { '13-12': open(gapMm, 0.026) } });
      return {
        ...analysis,
        settings: { ...analysis.settings, scanner: { ...scanner, name } },
        contacts: analysis.contacts.map((contact) =>
          contact.gap ? { ...contact, gap: { ...contact.gap, terms } } : contact,
        ),
      };
    };
    const u = (a: Analysis, b: Analysis, isStated = true): number =>
      compareContacts(a, b, [], null, isStated).find(({ toothA }) => toothA === 13)!.change!.u95Mm;
    expect(u(make(0.4, 'bench'), make(0.3, 'bench'))).toBeCloseTo(2 * Math.hypot(0.005, 0.005), 9);
    expect(u(make(0.4, 'bench'), make(0.3, 'other'))).toBeCloseTo(Math.hypot(0.026, 0.026), 9);
    // Terms that were only taken over from the earlier scan do not say that the scanner is the same.
    expect(u(make(0.4, 'bench'), make(0.3, 'bench'), false)).toBeCloseTo(Math.hypot(0.026, 0.026), 9);
    // Nor does a later comparison, when the earlier scan's own were taken over from the one before it.
    const over = make(0.4, 'bench');
    const takenOver = { ...over, settings: { ...over.settings, scannerTakenOver: true } } as const;
    expect(u(takenOver, make(0.3, 'bench'))).toBeCloseTo(Math.hypot(0.026, 0.026), 9);
  });

  it('takes what the gum hides once, whichever the scanners: it is the same place in both scans', () => {
    const make = (gapMm: number, gumMm: number): Analysis => {
      const analysis = makeAnalysis({ contacts: { '13-12': open(gapMm, 2 * Math.hypot(0.01, gumMm)) } });
      const terms = [
        { name: 'fit', type: 'A' as const, standardMm: 0.01, source: '' },
        { name: 'gum', type: 'B' as const, standardMm: gumMm, source: '' },
      ];
      const contacts = analysis.contacts.map((contact) =>
        contact.gap ? { ...contact, gap: { ...contact.gap, terms } } : contact,
      );
      return { ...analysis, contacts };
    };
    const u = (a: Analysis, b: Analysis): number =>
      compareContacts(a, b, [], null, true).find(({ toothA }) => toothA === 13)!.change!.u95Mm;
    expect(u(make(0.4, 0.02), make(0.3, 0.02))).toBeCloseTo(2 * Math.hypot(0.01, 0.01), 9);
    expect(u(make(0.4, 0.02), make(0.3, 0.005))).toBeCloseTo(2 * Math.hypot(0.01, 0.01, 0.015), 9);
    expect(u(make(0.4, 0), make(0.3, 0.02))).toBeCloseTo(2 * Math.hypot(0.01, 0.01, 0.02), 9);
  });

  it('bounds the change of a contact that one scan hides', () => {
    const { change, rangeMm } = compared(open(0.3, 0.03), bridged(0.2));
    expect(change).toBeNull();
    expect(rangeMm![0]).toBeCloseTo(-0.33, 12);
    expect(rangeMm![1]).toBeCloseTo(-0.07, 12);
  });

  it('tells the hidden space by the walls of the other scan and the crowns’ approach', () => {
    const now = compared(open(0.3, 0.03), bridged(0.2), [], moved(-0.25)).carried!;
    expect(now.scan).toBe('new');
    expect(now.space.valueMm).toBeCloseTo(0.05, 9);
    expect(now.space.u95Mm).toBeCloseTo(Math.hypot(0.03, 0.024), 9);
    const then = compared(bridged(0.3), open(0.4, 0.03), [], moved(0.35)).carried!;
    expect(then.scan).toBe('earlier');
    expect(then.space.valueMm).toBeCloseTo(0.05, 9);
    expect(compared(open(0.3), open(0.2), [], moved(-0.1)).carried).toBeNull();
  });

  it('sees two bridged teeth come apart by their crowns', () => {
    expect(compared(bridged(0.2), bridged(0.2), [], moved(0.1)).kind).toBe('wider');
    expect(compared(bridged(0.2), bridged(0.2), [], moved(-0.1)).kind).toBe('narrower');
    expect(compared(bridged(0.2), bridged(0.2), [], moved(0.02)).kind).toBe('unchanged');
  });

  it('notes what a web may have hidden, and walls that changed', () => {
    expect(compared(bridged(0.4), open(0.3)).notes).toEqual(['may-have-been-hidden']);
    expect(compared(bridged(0.4), open(0.3), [], moved(0.2)).notes).toEqual([]);
    expect(compared(bridged(0.1), open(0.3)).notes).toEqual([]);
    // The space grew by 0.20 although the crowns stayed: enamel was taken off between them.
    expect(compared(open(0.2), open(0.4), [], moved(0)).notes).toEqual(['walls-changed']);
    expect(compared(open(0.2), open(0.4), [], moved(0.2)).notes).toEqual([]);
  });

  it('holds spaces against the plan within their uncertainty', () => {
    const plan = [{ toothA: 13, toothB: 12, countedMm: 0.5, afterMm: 0.1 }];
    const standing = (after: ContactSpec) => compared(open(0.5), after, plan).plan!.standing;
    expect(standing(undecided(0.12))).toBe('as-planned');
    expect(standing(open(0.3))).toBe('short-of-plan');
    expect(standing(closed(0.02))).toBe('beyond-plan');
    expect(standing(bridged(0.2))).toBe('possible');
    expect(standing(bridged(0.05))).toBe('beyond-plan');
    const { expressed } = compared(open(0.5), open(0.3), plan).plan!;
    expect(expressed!.share).toBeCloseTo(0.5, 9);
    expect(expressed!.u95).toBeCloseTo(Math.hypot(0.03, 0.03) / 0.4, 9);
    const counted = [{ toothA: 13, toothB: 12, countedMm: null, afterMm: 0.1 }];
    expect(compared(bridged(0.2), open(0.3), counted).plan).toBeNull();
  });

  it('a space that floss found and the plan closed is told as missed when it is still there', () => {
    const byFloss = [{ toothA: 13, toothB: 12, countedMm: 0.25, afterMm: 0 }];
    const { plan, kind } = compared(bridged(0.3), open(0.24), byFloss);
    expect(kind).toBe('newly-open');
    expect(plan).toEqual({ afterMm: 0, standing: 'short-of-plan', expressed: null });
    // Floss said closed: nothing was asked for, and nothing is told about how much of it came.
    const settled = [{ toothA: 13, toothB: 12, countedMm: 0, afterMm: 0 }];
    expect(compared(undecided(0.11), undecided(0.11), settled).plan!.expressed).toBeNull();
  });

  it('floss said closed and the scan shows what it showed before: as planned, not short of the plan', () => {
    const settled = [{ toothA: 13, toothB: 12, countedMm: 0, afterMm: 0 }];
    expect(compared(undecided(0.12), undecided(0.12), settled).plan!.standing).toBe('as-planned');
    expect(compared(undecided(0.12), open(0.2), settled).plan!.standing).toBe('short-of-plan');
  });

  it('over-closure that was asked for is held against contact, not against a space below zero', () => {
    const pressed = [{ toothA: 13, toothB: 12, countedMm: 0.3, afterMm: -0.1 }];
    const { plan } = compared(open(0.3), closed(0.02), pressed);
    expect(plan).toMatchObject({ afterMm: 0, standing: 'as-planned' });
    expect(plan!.expressed!.share).toBeCloseTo(0.28 / 0.3, 9);
  });

  it('walls that both scans show are not overruled by the motion of the crowns', () => {
    expect(compared(closed(0.03, 0.01), closed(0.04, 0.01), [], moved(-0.1)).kind).toBe('unchanged');
    expect(compared(bridged(0.2), bridged(0.2), [], moved(-0.1)).kind).toBe('narrower');
  });

  it('nothing was hidden where the earlier scan showed the walls', () => {
    expect(compared(undecided(0.1), open(0.14)).notes).toEqual([]);
  });

  it('lists pairs of either scan in arch order, and teeth that one scan lacks as not comparable', () => {
    const one = makeAnalysis({});
    const two = makeAnalysis({ teeth: [17, 16, 15, 14, 13, 12, 11, 21, 22, 23, 25, 26, 27], missing: [24] });
    const pairs = compareContacts(one, two, [], null, true).map(
      ({ toothA, toothB, kind }) => `${toothA}-${toothB} ${kind}`,
    );
    expect(pairs.slice(9, 12)).toEqual([
      '23-24 not-comparable',
      '23-25 not-comparable',
      '24-25 not-comparable',
    ]);
  });

  it('decides both with the limit of the new scan', () => {
    const one = makeAnalysis({ contacts: { '13-12': open(0.3) }, limitMm: 0.1 });
    const two = makeAnalysis({ contacts: { '13-12': closed(0.2) }, limitMm: 0.4 });
    const found = compareContacts(one, two, [], null, true).find(({ toothA }) => toothA === 13)!;
    expect(found.before!.status).toBe('closed');
  });
});
