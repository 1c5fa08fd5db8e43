import type { ContactChange } from '../contacts/compare-contacts.ts';
import type { FollowUp } from '../contacts/follow-up.ts';
import type { Analysis, Contact } from '../contacts/types.ts';
import { type CsvCell, writeCsv } from './csv-text.ts';

/** The columns of `compare.csv`, in order. */
export const COMPARE_COLUMNS = [
  'tooth_a',
  'tooth_b',
  'change',
  'before_status',
  'after_status',
  'before_gap_mm',
  'before_u95_mm',
  'before_upper_bound_mm',
  'after_gap_mm',
  'after_u95_mm',
  'after_upper_bound_mm',
  'change_mm',
  'change_u95_mm',
  'change_least_mm',
  'change_most_mm',
  'approach_mm',
  'approach_u95_mm',
  'carried_scan',
  'carried_gap_mm',
  'carried_u95_mm',
  'planned_mm',
  'plan_standing',
  'expressed_share',
  'expressed_u95',
  'limit_mm',
  'note',
  'jaw',
  'earlier_scan',
  'new_scan',
  'earlier_sha256',
  'new_sha256',
] as const;

/**
 * The comparison as CSV: one row per pair of neighbours of either scan, from the patient's right to left. Every row
 * names its two scans by name and fingerprint, so that tables of several patients can be put together: scanners call
 * scans of all patients alike.
 */
export function writeCompareCsv(
  earlier: Pick<Analysis, 'sources'>,
  { analysis, changes }: Pick<FollowUp, 'analysis' | 'changes'>,
): string {
  const [before, after] = [earlier.sources[0], analysis.sources[0]];
  const about: CsvCell[] = [
    analysis.jaw,
    before?.fileName ?? null,
    after?.fileName ?? null,
    before?.sha256 ?? null,
    after?.sha256 ?? null,
  ];
  return writeCsv(
    COMPARE_COLUMNS,
    changes.map((change) => [...changeRow(change), ...about]),
  );
}

function changeRow(change: ContactChange): CsvCell[] {
  const { before, after, plan, carried, approach } = change;
  return [
    String(change.toothA),
    String(change.toothB),
    change.kind,
    before?.status ?? null,
    after?.status ?? null,
    ...space(before),
    ...space(after),
    change.change?.valueMm ?? null,
    change.change?.u95Mm ?? null,
    change.rangeMm?.[0] ?? null,
    change.rangeMm?.[1] ?? null,
    approach?.valueMm ?? null,
    approach?.u95Mm ?? null,
    carried?.scan ?? null,
    carried?.space.valueMm ?? null,
    carried?.space.u95Mm ?? null,
    plan?.afterMm ?? null,
    plan?.standing ?? null,
    plan?.expressed?.share ?? null,
    plan?.expressed?.u95 ?? null,
    (after ?? before)?.limitMm ?? null,
    change.notes.join(';'),
  ];
}

function space(contact: Contact | null): CsvCell[] {
  return [contact?.gap?.valueMm ?? null, contact?.gap?.u95Mm ?? null, contact?.upperBoundMm ?? null];
}
