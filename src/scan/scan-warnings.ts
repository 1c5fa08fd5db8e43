import type { ScanHealth } from './types.ts';

/** A remark on a measurement: a stable code and a sentence. */
export interface ScanWarning {
  readonly code: string;
  readonly sentence: string;
  /** The teeth that the sentence names, by their ISO 3950 numbers: it may be shown in another numbering. */
  readonly teeth?: readonly number[];
}

/**
 * What the checks of a scan found that bears on everything measured on it.
 *
 * @param health - null where there is none of the whole: separate crowns
 * @param of - what the scan is called where there are several, put before each sentence
 */
export function scanWarnings(health: Pick<ScanHealth, 'findings'> | null, of?: string): ScanWarning[] {
  return (health?.findings ?? [])
    .filter(({ severity }) => severity === 'warning')
    .map(({ code, sentence }) => ({ code, sentence: of === undefined ? sentence : `${of}: ${sentence}` }));
}
