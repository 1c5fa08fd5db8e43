import type { FitSide } from '../contacts/fit-types.ts';
import type { ToothNumber } from '../teeth/types.ts';
import { type CsvCell, writeCsv } from './csv-text.ts';

/** The columns of `fit.csv`, in order. */
export const FIT_COLUMNS = [
  'tooth',
  'side',
  'neighbour',
  'status',
  'space_mm',
  'space_u95_mm',
  'deeper_than_mm',
  'add_mm',
  'height_mm',
  'buccal_mm',
  'contact_area_20um_mm2',
  'contact_area_50um_mm2',
  'note',
  'at_most_mm',
] as const;

/** The fit as CSV: one row per side, from the patient's right to left. */
export function writeFitCsv(tooth: ToothNumber, sides: readonly FitSide[]): string {
  return writeCsv(
    FIT_COLUMNS,
    sides.map((side): CsvCell[] => [
      String(tooth),
      side.side,
      side.neighbour === null ? null : String(side.neighbour),
      side.status,
      side.space?.valueMm ?? null,
      side.space?.u95Mm ?? null,
      side.deeperThanMm,
      side.addMm,
      side.heightMm,
      side.buccalMm,
      side.within20umMm2,
      side.within50umMm2,
      side.notes.join(';'),
      side.atMostMm,
    ]),
  );
}
