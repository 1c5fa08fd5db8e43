import { describe, expect, it } from 'vitest';
import { bearsNumber, toothInName } from '../../../src/app/kernel/tooth-in-name.ts';

describe('toothInName', () => {
  it.each([
    ['24.stl', null, 24],
    ['crown_24-final.ply', null, 24],
    ['24 over 24.stl', null, 24],
    ['24-25.stl', null, null],
    ['24-35.stl', 'lower', 35],
    ['case 2024.stl', null, null],
    ['19.stl', null, null],
    ['11.stl', 'lower', null],
    ['left.stl', null, null],
    ['crown-2026-11-05.stl', null, null],
    ['crown_24 05.11.2026.stl', null, 24],
  ] as const)('%s in %s is %s', (name, jaw, tooth) => {
    expect(toothInName(name, jaw)).toBe(tooth);
  });
});

describe('bearsNumber', () => {
  it('is told from a name with a number of any scheme, not from a day or an ending', () => {
    expect(['8.stl', '36.stl', 'crown (1).stl'].map(bearsNumber)).toEqual([true, true, true]);
    expect(['crown.stl', '2026-11-05.stl', 'left.mp3'].map(bearsNumber)).toEqual([false, false, false]);
  });
});
