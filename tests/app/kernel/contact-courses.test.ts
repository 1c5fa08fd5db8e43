import { expect, it } from 'vitest';
import { contactCourses } from '../../../src/app/kernel/contact-courses.ts';
import { makeAnalysis } from '../../helpers/make-analysis.ts';

const scans = [
  makeAnalysis({
    teeth: [24, 26, 27],
    missing: [25],
    contacts: {
      '24-26': { status: 'missing-tooth', notes: ['not-clicked'] },
      '26-27': { status: 'open', gapMm: 0.3, u95Mm: 0.05 },
    },
  }),
  makeAnalysis({ teeth: [24, 25, 26, 27], contacts: { '26-27': { status: 'bridged', upperBoundMm: 0.2 } } }),
];
const history = [
  { label: '2026-01-05', analysis: scans[0]! },
  { label: 'scan.ply', analysis: scans[1]! },
  { label: 'scan 3 of 3', analysis: null },
];

it('follows every pair of any scan in arch order, and calls no tooth missing that was only not clicked', () => {
  expect(contactCourses(history).map(({ toothA, toothB, words }) => `${toothA}-${toothB}: ${words}`)).toEqual(
    [
      '24-25: 2026-01-05 no such pair, scan.ply bridged 0 to 0.24 mm could hide here, scan 3 of 3 not measured',
      '24-26: 2026-01-05 not clicked no number, scan.ply no such pair, scan 3 of 3 not measured',
      '25-26: 2026-01-05 no such pair, scan.ply bridged 0 to 0.24 mm could hide here, scan 3 of 3 not measured',
      '26-27: 2026-01-05 open 0.30 ± 0.05 mm, scan.ply bridged 0 to 0.20 mm could hide here, scan 3 of 3 not measured',
    ],
  );
});

it('draws a space by its interval, a bound from nothing up, and no place where the scan says nothing', () => {
  const [first, second, third] = contactCourses(history).at(-1)!.places;
  expect(first!.valueMm).toBe(0.3);
  expect([first!.lowMm, first!.highMm].map((value) => value!.toFixed(3))).toEqual(['0.250', '0.350']);
  expect(second).toEqual({ valueMm: null, lowMm: 0, highMm: 0.2 });
  expect(third).toEqual({ valueMm: null, lowMm: null, highMm: null });
});
