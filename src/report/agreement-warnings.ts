import type { AgreementAnalysis } from '../study/assess-agreement.ts';
import type { RepeatedMeasurements } from '../study/repeated-measurements.ts';
import { alikeSentences } from './alike-tables.ts';
import { sharedScanSentence } from './shared-scan-words.ts';

interface AgreementWarning {
  readonly code: 'SCANS_SHARED' | 'TABLES_ALIKE';
  readonly sentence: string;
}

/**
 * What is to be known before the figures are read: what they do not cover, and which tables are alike.
 *
 * @param sources - the tables by their names and SHA-256
 */
export function agreementWarnings(
  data: RepeatedMeasurements,
  analyses: readonly AgreementAnalysis[],
  sources: readonly { readonly name: string; readonly sha256: string }[],
): readonly AgreementWarning[] {
  const shared = sharedScanSentence(data, analyses[0]);
  return [
    ...(shared === null ? [] : [{ code: 'SCANS_SHARED' as const, sentence: shared }]),
    ...alikeSentences(sources).map((sentence) => ({ code: 'TABLES_ALIKE' as const, sentence })),
  ];
}
