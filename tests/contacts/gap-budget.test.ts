import { describe, expect, it } from 'vitest';
import { scannerTerms, underGumMm } from '../../src/contacts/gap-budget.ts';
import { UNCALIBRATED_SCANNER } from '../../src/contacts/settings.ts';
import { expandedMm } from '../../src/contacts/uncertainty.ts';

describe('scannerTerms', () => {
  it('states waviness, scale and the systematic part with their sources', () => {
    const terms = scannerTerms(0.4, UNCALIBRATED_SCANNER);
    expect(terms.map((term) => term.name)).toEqual(['waviness', 'scale', 'systematic']);
    // two walls with 6 um each; 0.2 % of 0.4 mm, rectangular; 20 um, rectangular
    expect(terms[0]!.standardMm).toBeCloseTo(0.008485, 6);
    expect(terms[1]!.standardMm).toBeCloseTo((0.002 * 0.4) / Math.sqrt(3), 12);
    expect(terms[2]!.standardMm).toBeCloseTo(0.011547, 6);
    for (const term of terms) {
      expect(term.type).toBe('B');
      expect(term.source).toContain('not calibrated');
    }
  });

  it('does not jump anywhere: neighbouring spaces have neighbouring uncertainties', () => {
    const u95 = (valueMm: number) => expandedMm(scannerTerms(valueMm, UNCALIBRATED_SCANNER));
    // half-way through the fade, half of the half-width
    expect(scannerTerms(0.55, UNCALIBRATED_SCANNER)[2]!.standardMm).toBeCloseTo(0.01 / Math.sqrt(3), 12);
    for (let k = 0; k < 1000; k += 1) {
      expect(Math.abs(u95(k / 1000 + 0.001) - u95(k / 1000))).toBeLessThan(0.0005);
    }
    expect(u95(0.3)).toBeGreaterThan(u95(0.7) + 0.005);
  });

  it('leaves the systematic part out of wide spaces and of a calibrated scanner', () => {
    expect(scannerTerms(0.6, UNCALIBRATED_SCANNER).map((term) => term.name)).toEqual(['waviness', 'scale']);
    const calibrated = { ...UNCALIBRATED_SCANNER, name: 'bench scanner', systematicHalfWidthMm: 0 };
    const terms = scannerTerms(0.2, calibrated);
    expect(terms.map((term) => term.name)).toEqual(['waviness', 'scale']);
    expect(terms[0]!.source).toContain('bench scanner');
  });
});

describe('underGumMm', () => {
  it('is whole where the walls do not open towards the gum, fades, and is nothing where they do', () => {
    for (const widerMm of [-0.1, 0, 0.04]) expect(underGumMm(widerMm)).toBeCloseTo(0.02, 12);
    expect(underGumMm(0.05)).toBeCloseTo(0.01, 12);
    expect([0.06, 0.3].map(underGumMm)).toEqual([0, 0]);
  });
});
