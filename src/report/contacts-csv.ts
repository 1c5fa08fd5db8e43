import type { Analysis, Contact } from '../contacts/types.ts';
import type { Vec3 } from '../geometry/types.ts';
import { add } from '../geometry/vec3.ts';
import { type CsvCell, writeCsv } from './csv-text.ts';

/** The columns of `contacts.csv`, in order. */
export const CONTACT_COLUMNS = [
  'scan',
  'jaw',
  'tooth_a',
  'tooth_b',
  'status',
  'gap_mm',
  'gap_u95_mm',
  'upper_bound_mm',
  'nearest_mm',
  'clearance_mm',
  'bridge',
  'bridge_height_mm',
  'bridge_width_mm',
  'ax',
  'ay',
  'az',
  'bx',
  'by',
  'bz',
  'height_mm',
  'slip_mm',
  'limit_mm',
  'note',
] as const;

/**
 * The contact table as CSV: one row per neighbouring pair from the patient's right to left, tooth numbers always
 * ISO 3950, points in the file's coordinates in mm, empty cells where there is no number.
 */
export function writeContactsCsv(analysis: Analysis): string {
  return writeCsv(
    CONTACT_COLUMNS,
    analysis.contacts.map((contact) => contactRow(contact, analysis)),
  );
}

function contactRow(contact: Contact, analysis: Analysis): CsvCell[] {
  const { gap } = contact;
  return [
    scanName(contact, analysis),
    analysis.jaw,
    String(contact.toothA),
    String(contact.toothB),
    contact.status,
    gap?.valueMm ?? null,
    gap?.u95Mm ?? null,
    contact.upperBoundMm,
    contact.nearestMm,
    contact.clearanceMm,
    contact.bridge,
    contact.bridgeHeightMm,
    contact.bridgeWidthMm,
    ...coordinates(contact.pointA, analysis.originMm),
    ...coordinates(contact.pointB, analysis.originMm),
    contact.heightMm,
    contact.slipMm,
    contact.limitMm,
    contact.notes.join(';'),
  ];
}

/** The file a row is about: the scan, or with separate crowns the files of both crowns where they are known. */
function scanName(contact: Contact, analysis: Analysis): string {
  const { sources, teeth, kind } = analysis;
  if (kind === 'scan' || sources.length !== teeth.length) return sources[0]?.fileName ?? '';
  const names = [contact.toothA, contact.toothB].map(
    (tooth) => sources[teeth.findIndex((record) => record.tooth === tooth)]?.fileName ?? '',
  );
  // Not a semicolon: where that separates cells, a second name that begins with = would become a formula.
  return names.join(' + ');
}

function coordinates(point: Vec3 | null, originMm: Vec3): CsvCell[] {
  return point === null ? [null, null, null] : [...add(point, originMm)];
}
