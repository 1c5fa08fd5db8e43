import { describe, expect, it } from 'vitest';
import { scannerTerms } from '../../src/contacts/gap-budget.ts';
import { UNCALIBRATED_SCANNER } from '../../src/contacts/settings.ts';

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

  it('leaves the systematic part out of wide spaces and of a calibrated scanner', () => {
    expect(scannerTerms(0.5, UNCALIBRATED_SCANNER).map((term) => term.name)).toEqual(['waviness', 'scale']);
    const calibrated = { ...UNCALIBRATED_SCANNER, name: 'bench scanner', systematicHalfWidthMm: 0 };
    const terms = scannerTerms(0.2, calibrated);
    expect(terms.map((term) => term.name)).toEqual(['waviness', 'scale']);
    expect(terms[0]!.source).toContain('bench scanner');
  });
});
