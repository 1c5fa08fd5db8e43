import type { OpenGap } from './open-gap.ts';
import { FIT_LEVELS } from './open-gap.ts';
import { UNDER_GUM_FADE_MM, UNDER_GUM_STANDARD_MM, UNDER_GUM_WITHIN_MM } from './tolerances.ts';
import type { GapEstimate, ScannerProfile, UncertaintyTerm } from './types.ts';
import { expandedMm, rectangularStandard } from './uncertainty.ts';

/**
 * The systematic error of narrow spaces fades out over this much above its bound, mm: no scanner turns good at a line,
 * and U must not jump there.
 */
const SYSTEMATIC_FADE_MM = 0.1;

/** Share of the systematic half-width that holds for a space: all below the bound, none above the fade. */
function systematicShare(valueMm: number, belowMm: number): number {
  return Math.min(1, Math.max(0, (belowMm + SYSTEMATIC_FADE_MM - valueMm) / SYSTEMATIC_FADE_MM));
}

/** The terms that belong to the scanner, whatever the estimator. */
export function scannerTerms(valueMm: number, scanner: ScannerProfile): UncertaintyTerm[] {
  const terms: UncertaintyTerm[] = [
    {
      name: 'waviness',
      type: 'B',
      standardMm: Math.SQRT2 * scanner.wavinessMm,
      source: `Slow waves and stitching steps of both walls, which residuals cannot show: ${um(scanner.wavinessMm)} per wall (scanner: ${scanner.name}).`,
    },
    {
      name: 'scale',
      type: 'B',
      standardMm: rectangularStandard(scanner.scaleShare * Math.abs(valueMm)),
      source: `Scale error of the scanner within ${(100 * scanner.scaleShare).toFixed(2)} % of the space (scanner: ${scanner.name}).`,
    },
  ];
  const halfWidthMm = scanner.systematicHalfWidthMm * systematicShare(valueMm, scanner.systematicBelowMm);
  if (halfWidthMm > 0) {
    terms.push({
      name: 'systematic',
      type: 'B',
      standardMm: rectangularStandard(halfWidthMm),
      source: `Walls of narrow spaces may come out too fat: within ${um(scanner.systematicHalfWidthMm)} below ${scanner.systematicBelowMm.toFixed(2)} mm, fading over the next ${SYSTEMATIC_FADE_MM.toFixed(1)} mm (scanner: ${scanner.name}).`,
    });
  }
  return terms;
}

/** The whole budget of a space measured on fitted walls. */
function gapBudget(gap: OpenGap, scanner: ScannerProfile): UncertaintyTerm[] {
  const level = FIT_LEVELS.indexOf(gap.level);
  const surface = gap.level.degree === 4 ? 'quartic' : 'quadric';
  const choice = level === 0 ? '' : `; fallback ${level} of ${FIT_LEVELS.length - 1}`;
  return [
    {
      name: 'fit',
      type: 'A',
      standardMm: gap.fitMm,
      source: `Scatter of ${gap.patchA.points} and ${gap.patchB.points} points about the two fitted walls (${um(gap.residualMm)} per point at most), with what neighbouring points share.`,
    },
    {
      name: 'model',
      type: 'B',
      standardMm: gap.modelMm,
      source: `What a ${surface} wall over a window of ${gap.patchA.radiusMm.toFixed(2)} mm cannot follow${choice}.`,
    },
    ...(gap.underGumMm > 0 ? [underGumTerm(gap.underGumMm)] : []),
    ...scannerTerms(gap.valueMm, scanner),
  ];
}

/**
 * Standard uncertainty for what the gum hides, mm.
 * @param widerMm - how much more space than measured the trend of the walls leaves a little under the gum
 */
export function underGumMm(widerMm: number): number {
  const share = (UNDER_GUM_WITHIN_MM + UNDER_GUM_FADE_MM - widerMm) / UNDER_GUM_FADE_MM;
  return UNDER_GUM_STANDARD_MM * Math.min(1, Math.max(0, share));
}

function underGumTerm(standardMm: number): UncertaintyTerm {
  return {
    name: 'gum',
    type: 'B',
    standardMm,
    source:
      'Next to the gum the walls stand hardly farther apart than here: a narrower place may lie under it, where the scan shows nothing.',
  };
}

/** The space with its budget and U = 2 u. */
export function gapEstimate(gap: OpenGap, scanner: ScannerProfile): GapEstimate {
  const terms = gapBudget(gap, scanner);
  return { valueMm: gap.valueMm, u95Mm: expandedMm(terms), basis: 'patch', terms };
}

function um(mm: number): string {
  return `${(1000 * mm).toFixed(1)} µm`;
}
