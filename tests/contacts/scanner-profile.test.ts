import { readFileSync } from 'node:fs';
import Ajv2020 from 'ajv/dist/2020.js';
import { describe, expect, it } from 'vitest';
import {
  MOST_SPACE_MM,
  neverBridgedMm,
  readScannerProfile,
  SCANNER_TERMS,
  scannerTerm,
  writeScannerProfile,
} from '../../src/contacts/scanner-profile.ts';
import { UNCALIBRATED_SCANNER } from '../../src/contacts/settings.ts';
import { RIM_NOISE_MM } from '../../src/contacts/tolerances.ts';

const schema = JSON.parse(
  readFileSync(new URL('../../docs/schemas/archgap-scanner-1.json', import.meta.url), 'utf8'),
);
const own = { ...UNCALIBRATED_SCANNER, name: 'bench', wavinessMm: 0.009, noiseAllowanceMm: 0.04 };

describe('a scanner profile as a file', () => {
  it('comes back as it was, and follows the published schema', () => {
    const text = writeScannerProfile(own, 'block of 25 November');
    const validate = new Ajv2020().compile(schema);
    expect(validate(JSON.parse(text)), JSON.stringify(validate.errors)).toBe(true);
    expect(readScannerProfile(text)).toEqual(own);
    expect(readScannerProfile(`\uFEFF${text}`)).toEqual(own);
  });

  it.each([
    ['a negative term', { waviness_mm: -0.001 }, 'waviness_mm'],
    ['micrometres for millimetres', { systematic_half_width_mm: 20 }, 'systematic_half_width_mm'],
    ['a name of blanks', { name: '  ' }, 'name'],
    ['a term that is not known', { wavyness_mm: 0.01 }, 'wavyness_mm'],
    ['text for a number', { scale_share: '0.002' }, 'scale_share'],
    ['another schema', { schema: 'archgap-scanner/2' }, 'schema'],
  ])('refuses %s and says where', (_, change, place) => {
    const text = JSON.stringify({ ...JSON.parse(writeScannerProfile(own)), ...change });
    expect(() => readScannerProfile(text)).toThrow(expect.objectContaining({ code: 'SCANNER_INVALID' }));
    expect(() => readScannerProfile(text)).toThrow(`wrong at ${place}`);
  });

  it('tells what is never bridged, unless the most that a file can hold stands for not known', () => {
    expect(neverBridgedMm({ ...own, noBridgeGapMm: 0.3 })).toBe(0.3);
    const unknown = { ...own, noBridgeGapMm: MOST_SPACE_MM };
    expect(neverBridgedMm(unknown)).toBeNull();
    expect(neverBridgedMm(readScannerProfile(writeScannerProfile(unknown)))).toBeNull();
  });

  it('refuses what is no JSON', () => {
    expect(() => readScannerProfile('waviness = 6')).toThrow(
      expect.objectContaining({ code: 'SCANNER_NOT_JSON' }),
    );
  });
});

describe('SCANNER_TERMS', () => {
  it('names every term once, its default among the assumptions, and a source', () => {
    expect(SCANNER_TERMS.map(({ key }) => key).sort()).toEqual(
      [...Object.keys(UNCALIBRATED_SCANNER).filter((key) => key !== 'name'), 'noiseAllowanceMm'].sort(),
    );
    for (const term of SCANNER_TERMS) {
      const expected = term.key === 'noiseAllowanceMm' ? RIM_NOISE_MM : UNCALIBRATED_SCANNER[term.key];
      expect(scannerTerm(UNCALIBRATED_SCANNER, term)).toBe(expected);
      expect(term.defaultValue).toBe(expected);
      expect(term.source).toMatch(/^(Assumption|Published|Synthetic scans)/);
    }
  });
});
