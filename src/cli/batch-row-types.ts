import type { MeasureSettings } from '../contacts/types.ts';
import type { LengthUnit } from '../scan/types.ts';
import type { RowFault } from '../study/read-manifest.ts';
import type { Jaw, NumberingScheme } from '../teeth/types.ts';

/** What holds for every row of a batch; plain data, sent to the threads. */
export interface BatchSettings {
  readonly measure: MeasureSettings;
  readonly unit: LengthUnit | null;
  readonly numbering: NumberingScheme;
}

/** One row to measure; plain data. */
export interface RowTask {
  readonly name: string;
  /** Where the two files are looked for, in order, and how the manifest calls them. */
  readonly scan: RowInput;
  readonly clicks: RowInput;
  readonly jaw: Jaw | null;
  /** Why the row cannot be measured as it stands, or null. */
  readonly fault: RowFault | null;
  /** Folder of the row. */
  readonly folder: string;
  readonly settings: BatchSettings;
}

export interface RowInput {
  readonly told: string;
  readonly places: readonly string[];
}

/** `kept`: done earlier from the same files, settings and version, and still whole. */
export type RowOutcome =
  | { readonly kind: 'measured' | 'kept' }
  | { readonly kind: 'failed'; readonly fault: RowFault };
