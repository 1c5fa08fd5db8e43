import type { ContactChange } from '../../src/contacts/compare-contacts.ts';
import type { FollowUp } from '../../src/contacts/follow-up.ts';
import { rotationAbout } from '../../src/geometry/rigid.ts';
import type { ArchAlignment } from '../../src/teeth/align-arch.ts';
import { makeAnalysis, makeContact } from './make-analysis.ts';

/*
 * A hand-made comparison: 12-11 narrower and held against a plan, 11-21 hidden before and newly open, 21-22 of no
 * earlier pair. The arch turned a quarter about its vertical and went 5 mm to the side; 21 alone went 0.2 mm further.
 */

const QUARTER = rotationAbout([0, 0, 0], [0, 0, 1], Math.PI / 2, [5, 0, 0]);

export const EARLIER = makeAnalysis({
  teeth: [13, 12, 11, 21],
  originMm: [100, 0, 0],
  contacts: {
    '12-11': { status: 'open', gapMm: 0.4, u95Mm: 0.03 },
    '11-21': { status: 'bridged', upperBoundMm: 0.25 },
  },
});
const LATER = makeAnalysis({
  teeth: [12, 11, 21, 22],
  originMm: [0, 20, 0],
  fileName: '<later>.ply',
  contacts: {
    '12-11': { status: 'open', gapMm: 0.15, u95Mm: 0.03 },
    '11-21': { status: 'open', gapMm: 0.31, u95Mm: 0.04 },
    '21-22': { status: 'closed', gapMm: 0.02, u95Mm: 0.02 },
  },
});

const CHANGES: readonly ContactChange[] = [
  {
    toothA: 12,
    toothB: 11,
    before: EARLIER.contacts[1]!,
    after: LATER.contacts[0]!,
    change: { valueMm: -0.25, u95Mm: 0.042 },
    rangeMm: [-0.292, -0.208],
    kind: 'partly-closed',
    approach: { valueMm: -0.24, u95Mm: 0.02 },
    carried: null,
    notes: ['walls-changed'],
    plan: { afterMm: 0.1, standing: 'short-of-plan', expressed: { share: 0.8333, u95: 0.14 } },
  },
  {
    toothA: 11,
    toothB: 21,
    before: EARLIER.contacts[2]!,
    after: LATER.contacts[1]!,
    change: null,
    rangeMm: [0.02, 0.35],
    kind: 'newly-open',
    approach: { valueMm: 0.2, u95Mm: 0.02 },
    carried: { scan: 'earlier', space: { valueMm: 0.11, u95Mm: 0.045 } },
    notes: ['may-have-been-hidden'],
    plan: null,
  },
  {
    toothA: 21,
    toothB: 22,
    before: null,
    after: makeContact(21, 22, { status: 'closed', gapMm: 0.02, u95Mm: 0.02 }),
    change: null,
    rangeMm: null,
    kind: 'not-comparable',
    approach: null,
    carried: null,
    notes: [],
    plan: null,
  },
];

const ALIGNMENT: ArchAlignment = {
  motion: QUARTER,
  medianOffsetMm: 0.012,
  teeth: [
    {
      tooth: 13,
      motion: QUARTER,
      sighting: 'recognised',
      nearShare: 0.99,
      medianOffsetMm: 0.012,
      shiftMm: 0,
    },
    {
      tooth: 12,
      motion: QUARTER,
      sighting: 'recognised',
      nearShare: 0.98,
      medianOffsetMm: 0.011,
      shiftMm: 0,
    },
    { tooth: 11, motion: QUARTER, sighting: 'changed', nearShare: 0.4, medianOffsetMm: null, shiftMm: null },
    {
      tooth: 21,
      // 0.2 mm more to the left of the earlier frame, which the quarter turn takes to its front.
      motion: { ...QUARTER, translation: [5, 0.2, 0] },
      sighting: 'recognised',
      nearShare: 0.97,
      medianOffsetMm: 0.013,
      shiftMm: 0.2,
    },
  ],
};

export const FOLLOW_UP: Pick<FollowUp, 'analysis' | 'alignment' | 'changes' | 'warnings'> = {
  analysis: LATER,
  alignment: ALIGNMENT,
  changes: CHANGES,
  warnings: [{ code: 'TOOTH_CHANGED', sentence: 'The crown of 11 <has> another shape.' }],
};
