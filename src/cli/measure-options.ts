import type { LengthUnit } from '../scan/types.ts';
import type { Jaw, NumberingScheme } from '../teeth/types.ts';
import type { CrownOption } from './option-values.ts';

/** What `archgap measure` can be told. */
export interface MeasureOptions {
  readonly clicks?: string;
  readonly crown?: readonly CrownOption[];
  readonly jaw?: Jaw;
  readonly out: string;
  readonly limit?: number;
  readonly unit?: LengthUnit;
  /** File with the terms of the scanner. */
  readonly scanner?: string;
  /** File whose first line opens an encrypted case file. */
  readonly passphraseFile?: string;
  readonly numbering: NumberingScheme;
}
