import { describe, expect, it } from 'vitest';
import {
  type CalibrationSpace,
  calibrateScanner,
  standardWithoutScanner,
} from '../../src/contacts/calibrate-scanner.ts';
import { scannerTerms } from '../../src/contacts/gap-budget.ts';
import { UNCALIBRATED_SCANNER } from '../../src/contacts/settings.ts';
import { makeContact } from '../helpers/make-analysis.ts';
import { seededNormal } from '../helpers/random.ts';

interface Scanner {
  readonly offsetMm: number;
  readonly wavinessMm: number;
  readonly fitMm: number;
  readonly bridgesBelowMm: number;
  /** Standard deviation of what each space of the block is off what is known of it, on every scan alike. */
  readonly blockMm?: number;
}

/** Scans of a block with spaces of 0.1 to 0.6 mm by a scanner whose terms are known. */
function scanBlock(scanner: Scanner, repeats: number, seed: number): CalibrationSpace[] {
  const normal = seededNormal(seed);
  const spaces: CalibrationSpace[] = [];
  const { blockMm = 0 } = scanner;
  const block = [0.1, 0.2, 0.3, 0.4, 0.5, 0.6].map((expectedMm) => ({ expectedMm, off: blockMm * normal() }));
  for (let r = 0; r < repeats; r += 1) {
    for (const { expectedMm, off } of block) {
      // Both walls wave, so the space gets the root of two.
      const error =
        off + scanner.offsetMm + Math.SQRT2 * scanner.wavinessMm * normal() + scanner.fitMm * normal();
      const isBridged = expectedMm < scanner.bridgesBelowMm;
      spaces.push({
        label: `block ${r}`,
        space: String(expectedMm),
        expectedMm,
        expectedStandardMm: blockMm,
        measuredMm: isBridged ? null : expectedMm + error,
        measurementStandardMm: scanner.fitMm,
        isBridged,
      });
    }
  }
  return spaces;
}

const KNOWN: Scanner = { offsetMm: -0.018, wavinessMm: 0.009, fitMm: 0.005, bridgesBelowMm: 0.25 };

describe('calibrateScanner', () => {
  it('gives the textbook’s interval for a small worked sample', () => {
    // Errors 1, 2, 3, 4, 5 um: mean 3, s 1.5811, t95(4) = 2.776, half-width 2.776 * 1.5811 / sqrt(5) = 1.963 um.
    const spaces = [1, 2, 3, 4, 5].map((um) => ({
      label: '',
      space: String(um),
      isBridged: false,
      expectedMm: 0.4,
      expectedStandardMm: 0,
      measuredMm: 0.4 + um / 1000,
      measurementStandardMm: 0,
    }));
    const { offset, waviness, noBridge, profile, remarks } = calibrateScanner(spaces, 'x');
    expect(offset.valueMm).toBeCloseTo(0.003, 9);
    expect(offset.highMm! - offset.valueMm).toBeCloseTo(0.001963, 6);
    // s / sqrt 2; chi-square(4) at 0.025 and 0.975: 0.4844 and 11.143.
    expect(waviness.valueMm).toBeCloseTo(0.0015811 / Math.SQRT2, 6);
    expect(waviness.lowMm).toBeCloseTo(Math.sqrt((4 * 2.5e-6) / 11.143 / 2), 6);
    expect(waviness.highMm).toBeCloseTo(Math.sqrt((4 * 2.5e-6) / 0.4844 / 2), 6);
    expect(noBridge).toBeNull();
    expect(profile.noBridgeGapMm).toBe(UNCALIBRATED_SCANNER.noBridgeGapMm);
    expect(offset.sentence).toMatch(
      / What a whole scan is off, otherwise on the next scan, is not in the interval\.$/,
    );
    expect(remarks.join(' ')).toContain('5 different spaces are few');
  });

  it('finds the terms that simulated scans were made with, inside its intervals as often as it says', () => {
    let offsetHeld = 0;
    let wavinessHeld = 0;
    let sum = 0;
    const trials = 400;
    for (let seed = 1; seed <= trials; seed += 1) {
      const { offset, waviness, noBridge } = calibrateScanner(scanBlock(KNOWN, 4, seed), 'x');
      if (offset.lowMm <= KNOWN.offsetMm && KNOWN.offsetMm <= offset.highMm!) offsetHeld += 1;
      if (waviness.lowMm <= KNOWN.wavinessMm && KNOWN.wavinessMm <= waviness.highMm!) wavinessHeld += 1;
      sum += waviness.valueMm ** 2;
      expect([noBridge?.lowMm, noBridge?.valueMm]).toEqual([0.2, 0.3]);
    }
    // 95 % of 400 with a binomial standard deviation of 1.1 %: within three of them.
    expect(offsetHeld / trials).toBeGreaterThan(0.917);
    expect(wavinessHeld / trials).toBeGreaterThan(0.917);
    expect(offsetHeld / trials).toBeLessThan(0.983);
    expect(Math.sqrt(sum / trials)).toBeCloseTo(KNOWN.wavinessMm, 3);
  }, 30_000);

  it('finds them, too, where each scan repeats what the block is off: ten scans of four spaces are four spaces', () => {
    // Before spaces counted once, the interval held the offset in 63 % of such trials, and that of the waviness in 84 %.
    const scanner = { ...KNOWN, blockMm: 0.01 };
    const trials = 400;
    const held = { offset: 0, waviness: 0 };
    for (let seed = 1; seed <= trials; seed += 1) {
      const { offset, waviness } = calibrateScanner(scanBlock(scanner, 10, seed), 'x');
      if (offset.lowMm <= scanner.offsetMm && scanner.offsetMm <= offset.highMm!) held.offset += 1;
      if (waviness.lowMm <= scanner.wavinessMm && scanner.wavinessMm <= waviness.highMm!) held.waviness += 1;
    }
    expect(held.offset / trials).toBeGreaterThan(0.917);
    expect(held.offset / trials).toBeLessThan(0.983);
    // Satterthwaite's degrees of freedom are an approximation.
    expect(held.waviness / trials).toBeGreaterThan(0.9);
  }, 30_000);

  it('refuses terms that no scanner has, as where the known spaces are micrometres', () => {
    const spaces = scanBlock(KNOWN, 2, 1).map((space) => ({ ...space, expectedMm: 8 * space.expectedMm }));
    expect(() => calibrateScanner(spaces, 'x')).toThrow(
      expect.objectContaining({
        code: 'CALIBRATION_IMPLAUSIBLE',
        message: expect.stringMatching(
          /^The spaces were measured -3\.1\d\d mm off .* \([^:]+: expected at most 0\.5, found \d.*\); check that the known spaces are millimetres/,
        ),
      }),
    );
  });

  it('takes a space that is bridged in part for one that this scanner bridges', () => {
    const spaces = scanBlock(KNOWN, 4, 7).map((space) =>
      space.expectedMm === 0.3 ? { ...space, isBridged: true } : space,
    );
    const { noBridge, measured, bridged } = calibrateScanner(spaces, 'x');
    expect([noBridge?.lowMm, noBridge?.valueMm]).toEqual([0.3, 0.4]);
    expect([measured, bridged]).toEqual([16, 8]);
  });

  it('makes a profile that covers what it found', () => {
    const { profile, measured, bridged } = calibrateScanner(scanBlock(KNOWN, 4, 7), 'bench');
    expect([profile.name, measured, bridged]).toEqual(['bench', 16, 8]);
    expect(profile.systematicHalfWidthMm).toBeGreaterThan(0.018);
    expect(profile.systematicHalfWidthMm).toBeLessThan(0.035);
    expect(profile.systematicBelowMm).toBe(0.6);
    expect(profile.scaleShare).toBe(UNCALIBRATED_SCANNER.scaleShare);
  });

  it('does not take the scatter that scans show themselves for waviness', () => {
    const calm = { ...KNOWN, wavinessMm: 0, fitMm: 0.008 };
    const values = Array.from({ length: 50 }, (_, k) => calibrateScanner(scanBlock(calm, 4, k + 1), 'x'));
    const small = values.filter(({ waviness }) => waviness.valueMm < 0.004).length;
    expect(small).toBeGreaterThan(40);
  });

  /** Spaces of 0.1 mm and up in steps of 0.1, of which the first were bridged; each on as many scans. */
  const blockOf = (bridged: number, seen: number, scans: number): CalibrationSpace[] =>
    Array.from({ length: scans * (bridged + seen) }, (_, k) => {
      const place = (k % (bridged + seen)) + 1;
      const expectedMm = place / 10;
      const isBridged = place <= bridged;
      return {
        label: '',
        space: String(place),
        isBridged,
        expectedMm,
        expectedStandardMm: 0,
        measuredMm: isBridged ? null : expectedMm + 0.001 * Math.sin(k),
        measurementStandardMm: 0.003,
      };
    });

  it('rests upper bounds on what was never bridged only where ten different spaces were all seen', () => {
    // Scanned ten times, nine spaces are no ninety chances: what a space looks like decides whether it is bridged.
    const few = calibrateScanner(blockOf(2, 9, 10), 'x');
    expect(few.noBridge?.valueMm).toBe(0.3);
    // 1 - 0.05^(1/9) = 0.283.
    expect(few.noBridge?.sentence).toBe(
      'A space of 0.20 mm was bridged, none of 9 different spaces from 0.30 mm on; with 95 % fewer than 28 % of such spaces are.',
    );
    expect(few.profile.noBridgeGapMm).toBe(UNCALIBRATED_SCANNER.noBridgeGapMm);
    expect(few.remarks.join(' ')).toContain('Too few different spaces from 0.30 mm on');
    const enough = calibrateScanner(blockOf(2, 10, 1), 'x');
    expect(enough.profile.noBridgeGapMm).toBe(0.3);
    expect(enough.remarks.join(' ')).not.toContain('Too few');
  });

  it.each([
    ['a wider one was seen', blockOf(6, 4, 1)],
    [
      'none that is wider was seen',
      blockOf(6, 4, 1).map((one) => ({ ...one, isBridged: one.isBridged || one.expectedMm === 1 })),
    ],
  ])('rests no bound on a default that the block refutes: 0.60 mm was bridged, and %s', (_, spaces) => {
    // Taken for 0.50 mm, a bridged space of 0.60 mm would be said to be at most 0.50 mm.
    const { profile, remarks } = calibrateScanner(spaces, 'x');
    expect(profile.noBridgeGapMm).toBe(5);
    expect(remarks.join(' ')).toMatch(
      /A space of \d\.\d0 mm was bridged, so the default of 0\.50 mm does not hold/,
    );
  });

  it('refuses fewer than four measured spaces, and one space alone', () => {
    const tooFew = expect.objectContaining({ code: 'CALIBRATION_TOO_FEW' });
    expect(() => calibrateScanner(scanBlock(KNOWN, 1, 1).slice(0, 5), 'x')).toThrow(tooFew);
    const alone = scanBlock(KNOWN, 5, 1).filter(({ expectedMm }) => expectedMm === 0.4);
    expect(() => calibrateScanner(alone, 'x')).toThrow(tooFew);
  });
});

it('leaves the scanner’s own terms out of what a measurement contributes', () => {
  const contact = makeContact(11, 21, { status: 'open', gapMm: 0.3, u95Mm: 0.05 });
  const fit = { name: 'fit', type: 'A' as const, standardMm: 0.003, source: '' };
  const model = { name: 'model', type: 'B' as const, standardMm: 0.004, source: '' };
  // What gum may hide is no scatter either: taken for such, it would hide the scanner's own.
  const gum = { name: 'gum', type: 'B' as const, standardMm: 0.02, source: '' };
  const gap = { ...contact.gap!, terms: [fit, model, gum, ...scannerTerms(0.3, UNCALIBRATED_SCANNER)] };
  expect(standardWithoutScanner({ ...contact, gap })).toBeCloseTo(0.005, 12);
  expect(standardWithoutScanner({ ...contact, gap: null })).toBe(0);
});
