import { describe, expect, it } from 'vitest';
import {
  formatDegrees,
  formatGap,
  formatMm,
  formatMmOr,
  formatSignedMm,
  formatU95,
} from '../../src/report/format-mm.ts';
import { makeGap } from '../helpers/make-analysis.ts';

describe('formatMm', () => {
  it('writes two decimals and never minus zero', () => {
    expect([0.314, -0.12, -0.001, 0, 12].map(formatMm)).toEqual(['0.31', '−0.12', '0.00', '0.00', '12.00']);
  });
});

describe('formatMmOr', () => {
  it('writes a dash where there is no number', () => {
    expect([formatMmOr(null), formatMmOr(0)]).toEqual(['–', '0.00']);
  });
});

describe('formatU95', () => {
  it('never claims an uncertainty of nothing', () => {
    expect([0.0004, 0.004, 0.034, 0.06].map(formatU95)).toEqual(['0.01', '0.01', '0.03', '0.06']);
  });
});

describe('formatGap', () => {
  it('writes the value with its interval', () => {
    expect(formatGap(makeGap(0.31, 0.06))).toBe('0.31 ± 0.06 mm');
  });
});

describe('formatSignedMm', () => {
  it('signs everything but zero', () => {
    expect([0.2, -0.12, 0.001, -0.001].map(formatSignedMm)).toEqual(['+0.20', '−0.12', '0.00', '0.00']);
  });
});

describe('formatDegrees', () => {
  it('writes one decimal with a minus sign that is one, never minus zero', () => {
    const degrees = [0.31, -0.26, -0.04, 0].map((angle) => formatDegrees((angle * Math.PI) / 180));
    expect(degrees).toEqual(['0.3', '−0.3', '0.0', '0.0']);
  });
});
