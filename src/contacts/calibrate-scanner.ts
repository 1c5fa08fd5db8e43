import { inputError } from '../geometry/archgap-error.ts';
import { chiSquareQuantile, studentFactor } from './distributions.ts';
import { type RepeatedErrors, repeatedErrors } from './repeated-errors.ts';
import { MOST_SPACE_MM, scannerProfileFault } from './scanner-profile.ts';
import { UNCALIBRATED_SCANNER } from './settings.ts';
import type { Contact, ScannerProfile } from './types.ts';
import { combineStandard } from './uncertainty.ts';

/** A space of a block with its known value and what a scan said of it. */
export interface CalibrationSpace {
  /** Where it comes from, for messages: `block-1.ply 11-12`. */
  readonly label: string;
  /** Which space of the block it is; one name on every scan of it, as its errors hang together. */
  readonly space: string;
  readonly expectedMm: number;
  /** Standard uncertainty of the expected value, mm. */
  readonly expectedStandardMm: number;
  /** Measured value, or null when the scan bridged it. */
  readonly measuredMm: number | null;
  /** Standard uncertainty of that measurement without the scanner's terms, mm. */
  readonly measurementStandardMm: number;
  /** Whether the scan laid a web across it: all of it, or beside the free place that was measured. */
  readonly isBridged: boolean;
}

/** An estimated term with the interval that few measurements leave. */
export interface CalibratedTerm {
  readonly valueMm: number;
  readonly lowMm: number;
  /** Upper end; null where the measurements set none. */
  readonly highMm: number | null;
  /** How it was found, in a sentence. */
  readonly sentence: string;
}

/** What a block told about a scanner. */
export interface Calibration {
  readonly profile: ScannerProfile;
  readonly measured: number;
  /** Those with a web and without a number. */
  readonly bridged: number;
  /** Mean of measured less expected, 95 %. */
  readonly offset: CalibratedTerm;
  /** Standard deviation of one wall that a scan's own scatter does not explain; 95 % from chi-square. */
  readonly waviness: CalibratedTerm;
  /** Null when the block does not tell; the default then stays in the profile. */
  readonly noBridge: CalibratedTerm | null;
  readonly remarks: readonly string[];
}

/**
 * Terms of a budget that are no scatter of a measurement: those of the scanner, which must not count twice, and what gum
 * may hide, of which a block has none.
 */
const NOT_OF_THE_MEASUREMENT: readonly string[] = ['waviness', 'scale', 'systematic', 'gum'];
/** A standard deviation from fewer measurements than this says next to nothing. */
const LEAST_MEASURED = 4;
/** Of one space alone nobody could tell its own error from that of the scanner. */
const LEAST_SPACES = 2;
/** Different spaces that were all seen, before the smallest of them counts as never bridged. */
const LEAST_UNBRIDGED = 10;
const LEVEL = 0.95;

/** What of a contact's uncertainty is the measurement's own, neither the scanner's nor the gum's: standard, mm. */
export function standardWithoutScanner(contact: Contact): number {
  const terms = contact.gap?.terms.filter(({ name }) => !NOT_OF_THE_MEASUREMENT.includes(name)) ?? [];
  return combineStandard(terms.map(({ standardMm }) => standardMm));
}

/**
 * Estimates a scanner's terms from spaces of known width.
 *
 * Errors e_i = measured - expected. What one space of the block has of its own every scan of it shares, so a space counts
 * once, however often it was scanned ({@link repeatedErrors}). Offset: mean of e over the spaces, interval
 * mean -+ t s / sqrt(spaces) (Student, spaces - 1 degrees of freedom). The measurement is not corrected for it; the
 * systematic half-width of the profile is the farther end of that interval. Waviness: of the variance s^2 of one error,
 * what the measurements' own uncertainties u_i and the block's do not explain belongs to both walls,
 * 2 sigma_w^2 = s^2 - mean(u_i^2); its interval from that of s^2, f s^2 / chi-square with f degrees of freedom. As few
 * spaces may agree by chance, the profile takes the estimate but no less than half of its upper end (our choice).
 * Smallest space never bridged: the smallest expected one above the largest that was bridged, in part or wholly; upper
 * bounds rest on it only where ten different spaces or more from there on were all seen (then fewer than 26 % of such
 * spaces are bridged, with 95 %; our choice). Else the default stays, unless the block refutes it by a space as wide that
 * was bridged: then no bound rests on the scanner.
 *
 * A scale error cannot be told from spaces of a fraction of a millimetre; its default stays.
 *
 * @throws ArchgapError `CALIBRATION_TOO_FEW`, `CALIBRATION_IMPLAUSIBLE` where the terms are none that a profile can hold
 */
export function calibrateScanner(spaces: readonly CalibrationSpace[], name: string): Calibration {
  const seen = spaces.flatMap((space) =>
    space.measuredMm === null ? [] : [{ ...space, errorMm: space.measuredMm - space.expectedMm }],
  );
  const errorsOf = new Map<string, number[]>();
  for (const { space, errorMm } of seen) errorsOf.set(space, [...(errorsOf.get(space) ?? []), errorMm]);
  if (seen.length < LEAST_MEASURED || errorsOf.size < LEAST_SPACES) {
    throw inputError(
      'CALIBRATION_TOO_FEW',
      `Only ${seen.length} known spaces were measured, ${errorsOf.size} of them different; at least ${LEAST_MEASURED} are needed, ${LEAST_SPACES} of them different, ten or more are better.`,
      { details: { measured: seen.length, different: errorsOf.size } },
    );
  }
  const n = seen.length;
  const errors = repeatedErrors([...errorsOf.values()]);
  const offset = offsetTerm(errors, n);
  const own = seen.reduce((sum, s) => sum + s.measurementStandardMm ** 2 + s.expectedStandardMm ** 2, 0) / n;
  const waviness = wavinessTerm(errors, own);
  const { noBridge, noBridgeGapMm, remark } = noBridgeTerm(spaces);
  const widest = Math.max(...seen.map(({ expectedMm }) => expectedMm));
  const remarks = [
    `The scale error is not estimated: spaces up to ${widest.toFixed(2)} mm cannot show it. The default of ${(100 * UNCALIBRATED_SCANNER.scaleShare).toFixed(1)} % stays.`,
    ...(remark === null ? [] : [remark]),
  ];
  if (errors.spaces < 10) {
    remarks.push(
      `${errors.spaces} different spaces are few: the intervals are wide. A block with more spaces narrows them; scanning this one again tells more of what differs from scan to scan.`,
    );
  }
  const profile: ScannerProfile = {
    name,
    wavinessMm: Math.max(waviness.valueMm, (waviness.highMm ?? 0) / 2),
    scaleShare: UNCALIBRATED_SCANNER.scaleShare,
    systematicHalfWidthMm: Math.max(Math.abs(offset.lowMm), Math.abs(offset.highMm ?? 0)),
    systematicBelowMm: Math.max(widest, UNCALIBRATED_SCANNER.systematicBelowMm),
    noBridgeGapMm,
  };
  checkProfile(profile, offset, waviness);
  return {
    profile,
    measured: n,
    bridged: spaces.length - n,
    offset,
    waviness,
    noBridge,
    remarks,
  };
}

/** Terms that `measure` would refuse are told here: whoever made them can still look at the table of known spaces. */
function checkProfile(profile: ScannerProfile, offset: CalibratedTerm, waviness: CalibratedTerm): void {
  const fault = scannerProfileFault(profile);
  if (fault === null) return;
  throw inputError(
    'CALIBRATION_IMPLAUSIBLE',
    `The spaces were measured ${offset.valueMm.toFixed(3)} mm off what is known of them, scattering by ${waviness.valueMm.toFixed(3)} mm per wall, which is no scanner that spaces can be measured with (${fault}); check that the known spaces are millimetres and that their teeth are those of the block.`,
    { details: { offset_mm: offset.valueMm, waviness_mm: waviness.valueMm } },
  );
}

function offsetTerm({ mean, meanStandard, spaces }: RepeatedErrors, measured: number): CalibratedTerm {
  const half = studentFactor(LEVEL, spaces - 1) * meanStandard;
  const over =
    spaces === measured
      ? `${spaces} spaces`
      : `${spaces} spaces, each counting once (${measured} times measured)`;
  return {
    valueMm: mean,
    lowMm: mean - half,
    highMm: mean + half,
    sentence: `Mean of measured less known over ${over}, 95 % with Student’s t for ${spaces - 1} degrees of freedom: how the errors of the spaces scatter. What a whole scan is off, otherwise on the next scan, is not in the interval.`,
  };
}

function wavinessTerm({ variance, varianceDegrees: degrees }: RepeatedErrors, own: number): CalibratedTerm {
  const perWall = (total: number) => Math.sqrt(Math.max(0, total - own) / 2);
  const tail = (1 - LEVEL) / 2;
  const low = (degrees * variance) / chiSquareQuantile(1 - tail, degrees);
  const high = (degrees * variance) / chiSquareQuantile(tail, degrees);
  return {
    valueMm: perWall(variance),
    lowMm: perWall(low),
    highMm: perWall(high),
    sentence: `Scatter of the errors beyond what each scan shows of itself and the block’s own uncertainty, per wall; 95 % from chi-square with ${Number(degrees.toFixed(1))} degrees of freedom.`,
  };
}

interface NoBridge {
  readonly noBridge: CalibratedTerm | null;
  /** What the profile takes. */
  readonly noBridgeGapMm: number;
  /** Why that is not the estimate; null where it is. */
  readonly remark: string | null;
}

function noBridgeTerm(spaces: readonly CalibrationSpace[]): NoBridge {
  const bridged = spaces.filter(({ isBridged }) => isBridged).map(({ expectedMm }) => expectedMm);
  const largest = Math.max(0, ...bridged);
  // A space that no scan bridged is one chance to be bridged, however often it was scanned.
  const above = new Map(
    spaces.filter(({ expectedMm }) => expectedMm > largest).map((one) => [one.space, one]),
  );
  const valueMm = Math.min(...[...above.values()].map(({ expectedMm }) => expectedMm));
  // None bridged of m: the share of bridged ones is below 1 - 0.05^(1/m) with 95 % (exact binomial bound).
  const share = 1 - (1 - LEVEL) ** (1 / above.size);
  const noBridge =
    bridged.length === 0 || above.size === 0
      ? null
      : {
          valueMm,
          lowMm: largest,
          highMm: null,
          sentence: `A space of ${largest.toFixed(2)} mm was bridged, none of ${countOf(above.size)} from ${valueMm.toFixed(2)} mm on; with 95 % fewer than ${(100 * share).toFixed(0)} % of such spaces are.`,
        };
  if (noBridge !== null && above.size >= LEAST_UNBRIDGED)
    return { noBridge, noBridgeGapMm: valueMm, remark: null };
  const { noBridgeGapMm } = UNCALIBRATED_SCANNER;
  const tooFew = `it takes ${LEAST_UNBRIDGED} different spaces above it that were all seen`;
  if (largest >= noBridgeGapMm) {
    return {
      noBridge,
      noBridgeGapMm: MOST_SPACE_MM,
      remark: `A space of ${largest.toFixed(2)} mm was bridged, so the default of ${noBridgeGapMm.toFixed(2)} mm does not hold for this scanner, and what it never bridges is not known: ${tooFew}. ${MOST_SPACE_MM.toFixed(2)} mm stands in its place, the most that can: no bound rests on it.`,
    };
  }
  const stays = `the default of ${noBridgeGapMm.toFixed(2)} mm stays.`;
  const remark =
    noBridge === null
      ? `The smallest space that is never bridged is not told by this block; ${stays}`
      : `Too few different spaces from ${valueMm.toFixed(2)} mm on to rest upper bounds on: it takes ${LEAST_UNBRIDGED}; ${stays}`;
  return { noBridge, noBridgeGapMm, remark };
}

function countOf(spaces: number): string {
  return spaces === 1 ? 'one space' : `${spaces} different spaces`;
}
