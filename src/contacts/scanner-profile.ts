import * as v from 'valibot';
import { inputError } from '../geometry/archgap-error.ts';
import { schemaFault } from '../geometry/schema-fault.ts';
import { UNCALIBRATED_SCANNER } from './settings.ts';
import { RIM_NOISE_MM } from './tolerances.ts';
import type { ScannerProfile } from './types.ts';

/**
 * What is known of a scanner, as a file (`archgap-scanner/1`) and as fields a person can edit: every term with its
 * bounds and where its default comes from.
 */

const SCANNER_SCHEMA = 'archgap-scanner/1';

/** Terms that are numbers. */
type ScannerTermKey = Exclude<keyof ScannerProfile, 'name'>;

/** One editable term. Values and bounds are in the profile's own unit: mm, or a share. */
export interface ScannerTerm {
  readonly key: ScannerTermKey;
  readonly label: string;
  readonly unit: 'mm' | 'share';
  readonly most: number;
  readonly step: number;
  readonly defaultValue: number;
  /** Where the default comes from, in a sentence. */
  readonly source: string;
}

/** Errors above these are no scanner that spaces should be measured with, and most likely a unit mistaken. */
export const MOST_ERROR_MM = 0.5;
const MOST_SHARE = 0.05;
export const MOST_SPACE_MM = 5;
export const MOST_SCANNER_NAME = 80;

export const SCANNER_TERMS: readonly ScannerTerm[] = [
  {
    key: 'wavinessMm',
    label: 'Waviness and stitching, per wall',
    unit: 'mm',
    most: MOST_ERROR_MM,
    step: 0.001,
    defaultValue: UNCALIBRATED_SCANNER.wavinessMm,
    source:
      'Assumption: intervals covered the truth on synthetic scans with 6 µm; 8 to 15 µm are plausible for real scanners, not tested.',
  },
  {
    key: 'scaleShare',
    label: 'Scale error, half-width',
    unit: 'share',
    most: MOST_SHARE,
    step: 0.0005,
    defaultValue: UNCALIBRATED_SCANNER.scaleShare,
    source: 'Assumption: within 0.2 % of the space, less than 1 µm in most spaces; not tested.',
  },
  {
    key: 'systematicHalfWidthMm',
    label: 'Systematic error of narrow spaces, half-width',
    unit: 'mm',
    most: MOST_ERROR_MM,
    step: 0.001,
    defaultValue: UNCALIBRATED_SCANNER.systematicHalfWidthMm,
    source:
      'Assumption: walls of narrow spaces are published as coming out too fat, without a figure that could be carried over.',
  },
  {
    key: 'systematicBelowMm',
    label: 'That error is expected below a space of',
    unit: 'mm',
    most: MOST_SPACE_MM,
    step: 0.01,
    defaultValue: UNCALIBRATED_SCANNER.systematicBelowMm,
    source: 'Assumption, with the one before it.',
  },
  {
    key: 'noBridgeGapMm',
    label: 'Smallest space that is never bridged',
    unit: 'mm',
    most: MOST_SPACE_MM,
    step: 0.01,
    defaultValue: UNCALIBRATED_SCANNER.noBridgeGapMm,
    source:
      'Published: none of seven scanners bridged a space of 0.5 mm or more (J Prosthet Dent, PubMed 41318337).',
  },
  {
    key: 'noiseAllowanceMm',
    label: 'Allowance for noise at the rim of a web',
    unit: 'mm',
    most: MOST_ERROR_MM,
    step: 0.001,
    defaultValue: RIM_NOISE_MM,
    source: 'Synthetic scans: with 0.03 mm the bound of a bridged contact held in 136 of 136.',
  },
];

/**
 * The space from which on this scanner bridges nothing, mm; null where that is not known. A file cannot leave the term
 * out: the most that it can hold stands for not known, as `calibrate` writes it.
 */
export function neverBridgedMm({ noBridgeGapMm }: ScannerProfile): number | null {
  return noBridgeGapMm >= MOST_SPACE_MM ? null : noBridgeGapMm;
}

/** Value of a term; the default where the profile leaves it out. */
export function scannerTerm(profile: ScannerProfile, term: ScannerTerm): number {
  return profile[term.key] ?? term.defaultValue;
}

const within = (most: number) => v.pipe(v.number(), v.finite(), v.minValue(0), v.maxValue(most));

const nameSchema = v.pipe(
  v.string(),
  v.trim(),
  v.minLength(1, 'expected a name'),
  v.maxLength(MOST_SCANNER_NAME),
);

/** What must hold for a profile that comes out of a case, under the program's names. */
export const scannerProfileSchema = v.object({
  name: nameSchema,
  wavinessMm: within(MOST_ERROR_MM),
  scaleShare: within(MOST_SHARE),
  systematicHalfWidthMm: within(MOST_ERROR_MM),
  systematicBelowMm: within(MOST_SPACE_MM),
  noBridgeGapMm: within(MOST_SPACE_MM),
  noiseAllowanceMm: v.exactOptional(within(MOST_ERROR_MM)),
});

/** Where a profile holds what none can, in words, or null: such a file could not be read back. */
export function scannerProfileFault(profile: ScannerProfile): string | null {
  const parsed = v.safeParse(scannerProfileSchema, profile);
  if (parsed.success) return null;
  const [issue] = parsed.issues;
  const key = v.getDotPath(issue) ?? '';
  const label = SCANNER_TERMS.find((term) => term.key === key)?.label ?? key;
  return `${label}: ${schemaFault(issue, scannerProfileSchema)}`;
}

const schema = v.strictObject({
  schema: v.literal(SCANNER_SCHEMA),
  name: nameSchema,
  waviness_mm: within(MOST_ERROR_MM),
  scale_share: within(MOST_SHARE),
  systematic_half_width_mm: within(MOST_ERROR_MM),
  systematic_below_mm: within(MOST_SPACE_MM),
  no_bridge_gap_mm: within(MOST_SPACE_MM),
  noise_allowance_mm: v.exactOptional(within(MOST_ERROR_MM)),
  note: v.exactOptional(v.pipe(v.string(), v.maxLength(2000))),
});

/**
 * Reads a scanner profile.
 * @throws ArchgapError `SCANNER_NOT_JSON`, `SCANNER_INVALID`
 */
export function readScannerProfile(text: string): ScannerProfile {
  let raw: unknown;
  try {
    raw = JSON.parse(text.replace(/^\uFEFF/, ''));
  } catch (cause) {
    throw inputError('SCANNER_NOT_JSON', 'The scanner file is not JSON; expected schema archgap-scanner/1.', {
      cause,
    });
  }
  const parsed = v.safeParse(schema, raw);
  if (!parsed.success) {
    const issue = parsed.issues[0];
    const place = v.getDotPath(issue) ?? 'the top level';
    throw inputError(
      'SCANNER_INVALID',
      `The scanner file is wrong at ${place}: ${schemaFault(issue, schema)}; correct it, or give a file of "archgap calibrate" (docs/formats.md describes archgap-scanner/1).`,
      { details: { place } },
    );
  }
  const { output } = parsed;
  return {
    name: output.name,
    wavinessMm: output.waviness_mm,
    scaleShare: output.scale_share,
    systematicHalfWidthMm: output.systematic_half_width_mm,
    systematicBelowMm: output.systematic_below_mm,
    noBridgeGapMm: output.no_bridge_gap_mm,
    ...(output.noise_allowance_mm === undefined ? {} : { noiseAllowanceMm: output.noise_allowance_mm }),
  };
}

/**
 * The profile as a file.
 * @param note - how it was found, for people
 */
export function writeScannerProfile(profile: ScannerProfile, note?: string): string {
  const document: v.InferInput<typeof schema> = {
    schema: SCANNER_SCHEMA,
    name: profile.name,
    waviness_mm: profile.wavinessMm,
    scale_share: profile.scaleShare,
    systematic_half_width_mm: profile.systematicHalfWidthMm,
    systematic_below_mm: profile.systematicBelowMm,
    no_bridge_gap_mm: profile.noBridgeGapMm,
    noise_allowance_mm: profile.noiseAllowanceMm ?? RIM_NOISE_MM,
    ...(note === undefined ? {} : { note }),
  };
  return `${JSON.stringify(document, null, 2)}\n`;
}
