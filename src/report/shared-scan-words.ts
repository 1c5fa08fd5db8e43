import type { AgreementAnalysis } from '../study/assess-agreement.ts';
import type { RepeatedMeasurements } from '../study/repeated-measurements.ts';

const CLICKS_ONLY =
  'these figures say how well clicking the teeth again agrees. They say nothing of scanning again.';

/**
 * What the figures over all occasions cover where occasions share a scan; null where they do not, none can tell, or there
 * are no figures.
 */
export function sharedScanSentence(
  { scanColumn, targets }: RepeatedMeasurements,
  all: AgreementAnalysis | undefined,
): string | null {
  if (!all?.figures) return null;
  if (all.scansShared === 'some') {
    const which =
      scanColumn === 'scan_sha256'
        ? 'Some occasions are of one scan (SHA-256):'
        : 'Some occasions name the same scan. If that is one scan and not several files of one name,';
    return `${which} between these only the clicks can differ, and over all occasions errors come out smaller and correlations higher than if every occasion had been scanned anew.`;
  }
  if (all.scansShared !== 'all') return null;
  if (scanColumn === 'scan_sha256') return `Every target was measured on one scan (SHA-256): ${CLICKS_ONLY}`;
  const names = new Set(targets.flatMap(({ scans }) => scans.filter((scan) => scan !== null)));
  const [only] = names;
  const which = names.size === 1 ? `the same scan, ${only}` : 'the same scan of every target';
  return `All occasions name ${which}. If that is one scan and not several files of one name, ${CLICKS_ONLY}`;
}

/** The same of one comparison among several, short; empty where its occasions are not of one scan. */
export function sharedScanRemark({ factor, scansShared }: AgreementAnalysis): string {
  if (factor === null || scansShared !== 'all') return '';
  return ' The occasions name the same scan: clicks are compared here, not scanning.';
}
