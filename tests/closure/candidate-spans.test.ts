import { describe, expect, it } from 'vitest';
import { type ArchModel, archModel } from '../../src/closure/arch-model.ts';
import { candidateSpans } from '../../src/closure/candidate-spans.ts';
import { DEFAULT_CLOSURE_SETTINGS } from '../../src/closure/settings.ts';
import type { ToothNumber } from '../../src/teeth/types.ts';
import { makeAnalysis, saysOf } from './make-analysis.ts';

function modelOf(teeth: readonly ToothNumber[]): ArchModel {
  const centres = teeth.map((_, i) => [8 * i, 0] as const);
  const gaps = teeth.slice(1).map(() => 0);
  return archModel(
    makeAnalysis({
      teeth,
      centres,
      pointsA: gaps.map((_, k) => [8 * k + 4, 0]),
      pointsB: gaps.map((_, k) => [8 * k + 4, 0]),
      says: saysOf(gaps),
    }),
    DEFAULT_CLOSURE_SETTINGS,
  );
}

function names(teeth: readonly ToothNumber[], asking: readonly number[] = []): string[] {
  return candidateSpans(modelOf(teeth), asking).map((s) => `${teeth[s.first]}-${teeth[s.last]}`);
}

const LOWER_16 = [48, 47, 46, 45, 44, 43, 42, 41, 31, 32, 33, 34, 35, 36, 37, 38];

describe('candidate spans', () => {
  it('canine to canine outwards to the third molars of a full lower arch', () => {
    expect(names(LOWER_16)).toEqual(['43-33', '44-34', '45-35', '46-36', '47-37', '48-38']);
  });

  it('a side that has run out of teeth stays at its last tooth', () => {
    expect(names(LOWER_16.slice(2, 13))).toEqual(['43-33', '44-34', '45-35', '46-35']);
  });

  it('a missing tooth ends its step at the next one towards the midline', () => {
    expect(names(LOWER_16.filter((t) => t !== 44 && t !== 33))).toEqual([
      '43-32',
      '43-34',
      '45-35',
      '46-36',
      '47-37',
      '48-38',
    ]);
  });

  it('one-sided spans only when all spaces lie on one side', () => {
    // Contact 3 is 45-44, contact 7 the midline, contact 10 is 33-34.
    expect(names(LOWER_16, [3]).slice(6)).toEqual(['43-41', '44-41', '45-41', '46-41', '47-41', '48-41']);
    expect(names(LOWER_16, [10]).slice(6)).toEqual(['31-33', '31-34', '31-35', '31-36', '31-37', '31-38']);
    expect(names(LOWER_16, [3, 10])).toHaveLength(6);
    expect(names(LOWER_16, [3, 7])).toHaveLength(6);
    expect(names(LOWER_16, [])).toHaveLength(6);
  });

  it('lone quadrants and single teeth', () => {
    expect(names([17, 16, 15])).toEqual(['16-15', '17-15']);
    expect(names([26, 27])).toEqual(['26-27']);
    expect(names([16])).toEqual([]);
    expect(names([])).toEqual([]);
  });
});
