import { describe, expect, it } from 'vitest';
import type { FitSide } from '../../src/contacts/fit-types.ts';
import { judgeFit } from '../../src/contacts/judge-fit.ts';

const SIDE: FitSide = {
  side: 'mesial',
  neighbour: 23,
  status: 'not-measurable',
  space: null,
  deeperThanMm: null,
  atMostMm: null,
  addMm: null,
  neighbourIsFirst: true,
  closingDirection: [1, 0, 0],
  ends: null,
  point: null,
  heightMm: null,
  buccalMm: null,
  within20umMm2: null,
  within50umMm2: null,
  notes: ['rough'],
};
const TARGET = { wideMm: 0, tightMm: -0.03 };
const withSpace = (valueMm: number, u95Mm: number) => ({ ...SIDE, space: { valueMm, u95Mm } });

describe('judgeFit', () => {
  it.each([
    [-0.05, 0.019, 'too-tight'],
    [-0.05, 0.021, 'undecided'],
    [-0.015, 0.014, 'as-wanted'],
    [-0.015, 0.016, 'undecided'],
    [0.02, 0.019, 'open'],
    [0.02, 0.021, 'undecided'],
  ] as const)('a space of %f ± %f is %s', (valueMm, u95Mm, status) => {
    const judged = judgeFit(withSpace(valueMm, u95Mm), TARGET);
    expect(judged.status).toBe(status);
    expect(judged.addMm).toBeCloseTo(valueMm + 0.015, 12);
  });

  it('follows the target without measuring again', () => {
    const once = judgeFit(withSpace(0.1, 0.01), TARGET);
    const other = judgeFit(once, { wideMm: 0.15, tightMm: 0.05 });
    expect([once.status, other.status]).toEqual(['open', 'as-wanted']);
    expect(other.addMm).toBeCloseTo(0, 12);
  });

  it('calls an overlap of unknown depth too tight only where the target excludes it', () => {
    const deep = { ...SIDE, deeperThanMm: 0.9 };
    expect(judgeFit(deep, TARGET)).toMatchObject({
      status: 'too-tight',
      notes: ['deeper-than-measured', 'rough'],
    });
    const loose = judgeFit(judgeFit(deep, TARGET), { wideMm: 0, tightMm: -1 });
    expect(loose).toMatchObject({ status: 'not-measurable', notes: ['rough'] });
    expect(judgeFit(SIDE, TARGET).status).toBe('not-measurable');
    expect(judgeFit({ ...SIDE, neighbour: null }, TARGET).status).toBe('no-neighbour');
  });
});
