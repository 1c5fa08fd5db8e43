import { UNCALIBRATED_SCANNER } from '../../../src/contacts/settings.ts';
import type { ScannerProfile } from '../../../src/contacts/types.ts';

/** Terms of a scanner that differ from the stated assumptions. */
export const BENCH: ScannerProfile = { ...UNCALIBRATED_SCANNER, name: 'bench', wavinessMm: 0.009 };

/** A click file of two teeth, for scans that are not read. */
export const CLICKS = JSON.stringify({
  jaw: 'upper',
  clicks: [12, 11].map((tooth, i) => ({ tooth, point: [8 * i, 0, 0] })),
  missing: [],
  fixed: [],
});
