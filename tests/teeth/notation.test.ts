import { describe, expect, it } from 'vitest';
import {
  archOrder,
  digitOf,
  formatTooth,
  isoToUniversal,
  isToothNumber,
  jawOf,
  parseTooth,
  toothSortIndex,
  universalToIso,
} from '../../src/teeth/notation.ts';

// ISO 3950 and the universal chart, written out by hand (facts.md W11).
const UNIVERSAL_AS_ISO = [
  18, 17, 16, 15, 14, 13, 12, 11, 21, 22, 23, 24, 25, 26, 27, 28, 38, 37, 36, 35, 34, 33, 32, 31, 41, 42, 43,
  44, 45, 46, 47, 48,
];

describe('notation', () => {
  it('maps universal 1..32 to ISO as the chart does', () => {
    expect(Array.from({ length: 32 }, (_, k) => universalToIso(k + 1))).toEqual(UNIVERSAL_AS_ISO);
  });

  it('maps ISO back to universal', () => {
    expect(UNIVERSAL_AS_ISO.map(isoToUniversal)).toEqual(Array.from({ length: 32 }, (_, k) => k + 1));
  });

  it('knows exactly 32 permanent teeth', () => {
    const all = Array.from({ length: 200 }, (_, n) => n - 50).filter(isToothNumber);
    expect(all.toSorted((a, b) => a - b)).toEqual(UNIVERSAL_AS_ISO.toSorted((a, b) => a - b));
    expect(isToothNumber(11.5)).toBe(false);
    expect(isToothNumber(Number.NaN)).toBe(false);
  });

  it('orders an arch from the patient right to left', () => {
    expect(archOrder('upper')).toEqual([18, 17, 16, 15, 14, 13, 12, 11, 21, 22, 23, 24, 25, 26, 27, 28]);
    expect(archOrder('lower')).toEqual([48, 47, 46, 45, 44, 43, 42, 41, 31, 32, 33, 34, 35, 36, 37, 38]);
    for (const jaw of ['upper', 'lower'] as const) {
      expect(archOrder(jaw).map(toothSortIndex)).toEqual(Array.from({ length: 16 }, (_, k) => k));
      expect(archOrder(jaw).every((tooth) => jawOf(tooth) === jaw)).toBe(true);
    }
    expect(digitOf(36)).toBe(6);
  });

  it('writes and reads every tooth in every scheme', () => {
    for (const scheme of ['iso', 'universal', 'palmer'] as const) {
      for (const tooth of UNIVERSAL_AS_ISO)
        expect(parseTooth(formatTooth(tooth, scheme), scheme)).toBe(tooth);
    }
    expect(formatTooth(16, 'universal')).toBe('3');
    expect(formatTooth(16, 'palmer')).toBe('UR6');
    expect(formatTooth(31, 'palmer')).toBe('LL1');
    expect(parseTooth(' lr8 ', 'palmer')).toBe(48);
  });

  it.each([
    ['19', 'iso'],
    ['51', 'iso'],
    ['', 'iso'],
    ['1e1', 'iso'],
    ['0', 'universal'],
    ['33', 'universal'],
    ['UR9', 'palmer'],
    ['11', 'palmer'],
  ] as const)('refuses %j in %s with a sentence', (text, scheme) => {
    expect(() => parseTooth(text, scheme)).toThrow(expect.objectContaining({ code: 'TOOTH_UNKNOWN' }));
  });
});
