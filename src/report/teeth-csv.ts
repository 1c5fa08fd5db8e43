import type { Analysis } from '../contacts/types.ts';
import type { Vec3 } from '../geometry/types.ts';
import { add } from '../geometry/vec3.ts';
import type { ToothRecord } from '../teeth/types.ts';
import { type CsvCell, writeCsv } from './csv-text.ts';

/** The columns of `teeth.csv`, in order. */
export const TEETH_COLUMNS = [
  'scan',
  'jaw',
  'tooth',
  'mesiodistal_mm',
  'mesiodistal_u95_mm',
  'buccolingual_mm',
  'buccolingual_u95_mm',
  'crown_height_mm',
  'crown_height_u95_mm',
  'area_mm2',
  'fixed',
  'right_x',
  'right_y',
  'right_z',
  'left_x',
  'left_y',
  'left_z',
] as const;

/**
 * The crowns' sizes as CSV: one row per tooth from the patient's right to left, ISO 3950 numbers, places in the
 * file's coordinates in mm, empty cells where there is no number.
 */
export function writeTeethCsv(analysis: Analysis): string {
  return writeCsv(
    TEETH_COLUMNS,
    analysis.teeth.map((record, k) => toothRow(record, k, analysis)),
  );
}

function toothRow(
  record: ToothRecord,
  k: number,
  { sources, kind, jaw, teeth, originMm }: Analysis,
): CsvCell[] {
  const { sizesU95Mm: u95, marks } = record;
  const perCrown = kind === 'crowns' && sources.length === teeth.length;
  const place = (point: Vec3 | undefined): CsvCell[] =>
    point === undefined ? [null, null, null] : [...add(point, originMm)];
  return [
    sources[perCrown ? k : 0]?.fileName ?? '',
    jaw,
    String(record.tooth),
    record.mesiodistalMm,
    u95?.mesiodistal ?? null,
    record.buccolingualMm,
    u95?.buccolingual ?? null,
    record.crownHeightMm,
    u95?.crownHeight ?? null,
    record.areaMm2,
    record.fixed ? 'yes' : 'no',
    ...place(marks?.right),
    ...place(marks?.left),
  ];
}
