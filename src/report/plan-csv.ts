import type { ClosurePlan } from '../closure/types.ts';
import { type CsvCell, writeCsv } from './csv-text.ts';

/** The columns of `plan.csv`, in order. */
export const PLAN_COLUMNS = ['span', 'contact', 'before_mm', 'after_mm'] as const;

/**
 * The plan as CSV: one row per span and contact. Spans and contacts are named by their two ISO 3950 numbers,
 * `17-27` and `13-12`; `before_mm` is empty where the scan gives no number.
 */
export function writePlanCsv(plan: ClosurePlan): string {
  const rows = plan.spans.flatMap((span) =>
    span.contacts.map((contact): CsvCell[] => [
      `${span.from}-${span.to}`,
      `${contact.toothA}-${contact.toothB}`,
      contact.beforeMm,
      contact.afterMm,
    ]),
  );
  return writeCsv(PLAN_COLUMNS, rows);
}
