import { NO_BRIDGE_GAP_MM } from './tolerances.ts';
import type { MeasureSettings, ScannerProfile } from './types.ts';

/**
 * What is assumed of a scanner nobody has calibrated. `wavinessMm` and `systematicHalfWidthMm` are assumptions: trials
 * on synthetic scans needed 6 um of waviness per wall for honest intervals; scan walls are published as coming out
 * too fat in narrow spaces (facts in docs/method.md), without a figure that could be carried over.
 */
export const UNCALIBRATED_SCANNER: ScannerProfile = {
  name: 'not calibrated',
  wavinessMm: 0.006,
  scaleShare: 0.002,
  systematicHalfWidthMm: 0.02,
  systematicBelowMm: 0.5,
  noBridgeGapMm: NO_BRIDGE_GAP_MM,
};

/** The limit of 0.10 mm is a convention of this tool, between the strips of 0.05 and 0.11 mm used in the chair. */
export const DEFAULT_MEASURE_SETTINGS: MeasureSettings = { limitMm: 0.1 };
