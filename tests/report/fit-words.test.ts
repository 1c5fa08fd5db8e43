import { describe, expect, it } from 'vitest';
import type { FitSide } from '../../src/contacts/fit-types.ts';
import {
  describeFitSide,
  fitAdvice,
  fitNoteWords,
  fitReachWords,
  fitSpaceWords,
  fitStatusWords,
  targetWords,
} from '../../src/report/fit-words.ts';

const TARGET = { wideMm: 0, tightMm: -0.03 };

function side(valueMm: number, u95Mm: number, status: FitSide['status']): FitSide {
  return {
    side: 'mesial',
    neighbour: 12,
    status,
    space: { valueMm, u95Mm },
    deeperThanMm: null,
    atMostMm: null,
    addMm: valueMm + 0.015,
    neighbourIsFirst: true,
    closingDirection: [1, 0, 0],
    ends: null,
    point: [0, 0, 0],
    heightMm: 2.1,
    buccalMm: 0.4,
    within20umMm2: 0,
    within50umMm2: 0,
    notes: [],
  };
}

describe('words of a fit', () => {
  it('tell how much, where, and which way', () => {
    expect(fitAdvice(side(0.2, 0.02, 'open'), TARGET)).toBe(
      'add 0.22 mm to meet the middle of the target, 2.10 mm below the occlusal plane, 0.40 mm towards the cheek or lip against the neighbour’s middle',
    );
    expect(fitAdvice(side(-0.205, 0.02, 'too-tight'), TARGET)).toMatch(/^take off 0\.19 mm/);
  });

  it('order nothing by an estimate in the target whose interval reaches beyond', () => {
    expect(fitAdvice(side(-0.029, 0.018, 'undecided'), TARGET)).toBe(
      'the estimate lies in the target, its uncertainty reaches beyond: check in the mouth',
    );
    expect(fitAdvice(side(0.01, 0.018, 'undecided'), TARGET)).toMatch(
      /^check in the mouth; by the estimate add/,
    );
    expect(fitAdvice(side(-0.015, 0.01, 'as-wanted'), TARGET)).toBe('leave it');
  });

  it('name the side, its neighbour and the target', () => {
    expect(describeFitSide(side(-0.2, 0.02, 'too-tight'), TARGET, 'iso')).toMatch(
      /^mesial against 12: too tight/,
    );
    expect(targetWords(TARGET)).toBe('0.00 to −0.03 mm');
  });

  it('say what bounds a space that was not measured', () => {
    const unseen = { ...side(0, 0, 'not-measurable'), space: null, notes: ['not-seen', 'crossing'] };
    expect(fitSpaceWords({ ...unseen, atMostMm: 0.104 })).toBe('at most +0.10 mm');
    expect(fitSpaceWords(unseen)).toBeNull();
    expect(unseen.notes.map(fitNoteWords).join()).toMatch(/not seen.*run through each other/);
  });

  it('call a side too tight or open only where the space says so by itself', () => {
    expect(fitStatusWords(side(-0.2, 0.02, 'too-tight'))).toBe('too tight');
    expect(fitStatusWords(side(0.12, 0.02, 'too-tight'))).toBe('tighter than wanted');
    expect(fitStatusWords(side(-0.01, 0.02, 'too-tight'))).toBe('tighter than wanted');
    expect(fitStatusWords(side(0.2, 0.02, 'open'))).toBe('open');
    expect(fitStatusWords(side(-0.02, 0.02, 'open'))).toBe('looser than wanted');
    const deep = { ...side(0, 0, 'too-tight'), space: null, deeperThanMm: 0.9 };
    expect(fitStatusWords(deep)).toBe('too tight');
  });

  it('say what would make “as wanted” reachable where the interval is wider than the target', () => {
    // Twice 0.018 is 0.036: told as 0.04, never less than it is.
    expect(fitReachWords(side(-0.015, 0.018, 'undecided'), TARGET)).toMatch(
      /the target is 0\.03 mm wide, the interval 0\.04 mm/,
    );
    expect(fitReachWords(side(-0.015, 0.015, 'undecided'), TARGET)).toBe('');
    expect(fitReachWords(side(0.2, 0.018, 'open'), TARGET)).toBe('');
    expect(describeFitSide(side(-0.015, 0.018, 'undecided'), TARGET, 'iso')).toContain(
      'cannot be shown here',
    );
  });

  it('leave the height out where it is not known', () => {
    const low = { ...side(0.2, 0.02, 'open'), heightMm: null };
    expect(fitAdvice(low, TARGET)).toBe(
      'add 0.22 mm to meet the middle of the target, 0.40 mm towards the cheek or lip against the neighbour’s middle',
    );
  });
});
