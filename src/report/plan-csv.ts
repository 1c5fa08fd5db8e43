import type { ClosurePlan, PlannedContact } from '../closure/types.ts';
import { type CsvCell, writeCsv } from './csv-text.ts';

/** The columns of `plan.csv`, in order. */
export const PLAN_COLUMNS = ['span', 'contact', 'before_mm', 'after_mm', 'counted_from'] as const;

/**
 * What a space after the stages counts from: the measured space, what floss or a strip said, or nothing - then it is
 * what the stages add or take, not a space: a contact that the scan could not see may hide more.
 */
export function countedFrom(contact: PlannedContact): 'scan' | 'floss' | 'nothing' {
  const { beforeMm, countedMm, floss, status } = contact;
  if (beforeMm !== null && (countedMm ?? beforeMm) === beforeMm) return 'scan';
  // Floss decides only where the scan does not: a web so thin that nothing above the limit fits behind it is closed.
  const flossDecides = status === 'undecided' || status === 'bridged' || status === 'not-measurable';
  return flossDecides && (floss ?? null) !== null ? 'floss' : 'nothing';
}

/**
 * The plan as CSV: one row per span and contact. Spans and contacts are named by their two ISO 3950 numbers,
 * `17-27` and `13-12`; `before_mm` is empty where the scan gives no number, and `after_mm` there counts from what
 * `counted_from` says.
 */
export function writePlanCsv(plan: ClosurePlan): string {
  const rows = plan.spans.flatMap((span) =>
    span.contacts.map((contact): CsvCell[] => [
      `${span.from}-${span.to}`,
      `${contact.toothA}-${contact.toothB}`,
      contact.beforeMm,
      contact.afterMm,
      countedFrom(contact),
    ]),
  );
  return writeCsv(PLAN_COLUMNS, rows);
}
