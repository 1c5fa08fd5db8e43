import { expect, it } from 'vitest';
import { fitMarks } from '../../../src/app/kernel/fit-marks.ts';
import type { FitSide } from '../../../src/contacts/fit-types.ts';

const TARGET = { wideMm: 0, tightMm: -0.03 };
const side = (status: FitSide['status'], part: Partial<FitSide> = {}): FitSide => ({
  side: 'mesial',
  neighbour: 21,
  status,
  space: { valueMm: -0.1, u95Mm: 0.02 },
  deeperThanMm: null,
  atMostMm: null,
  addMm: -0.085,
  neighbourIsFirst: false,
  closingDirection: [1, 0, 0],
  ends: null,
  point: [1, 2, 3],
  heightMm: 2,
  buccalMm: 0.2,
  within20umMm2: null,
  within50umMm2: null,
  notes: [],
  ...part,
});
const statusOf = (status: FitSide['status']) => fitMarks(11, [side(status)], TARGET, 'iso')[0]?.status;

it('stand where a side was measured, with the words of the fit in the numbers of the page', () => {
  const [mark, ...others] = fitMarks(
    11,
    [side('too-tight'), side('open', { point: null })],
    TARGET,
    'universal',
  );
  expect(others).toEqual([]);
  expect([mark!.tooth, mark!.at]).toEqual([11, [1, 2, 3]]);
  expect(mark!.words).toMatch(/^mesial against 9: too tight, −0\.10 ± 0\.02 mm: take off/);
});

it('look like the contact of the same state: pressed, closed as wanted, open, undecided; else there is none', () => {
  expect(statusOf('too-tight')).toBe('overlap');
  expect(statusOf('as-wanted')).toBe('closed');
  expect(statusOf('open')).toBe('open');
  expect(statusOf('undecided')).toBe('undecided');
  expect([statusOf('no-neighbour'), statusOf('not-measurable')]).toEqual([undefined, undefined]);
});
