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

/** What the table of separate crowns has after those. */
export const CROWN_COLUMNS = [
  'buccal_mm',
  'overlap_a_mm',
  'overlap_b_mm',
  'area_a_20um_mm2',
  'area_b_20um_mm2',
  'area_a_50um_mm2',
  'area_b_50um_mm2',
] as const;

/**
 * The contact table as CSV: one row per neighbouring pair from the patient's right to left, tooth numbers always
 * ISO 3950, points in the file's coordinates in mm, empty cells where there is no number.
 */
export function writeContactsCsv(analysis: Analysis): string {
  const rows = analysis.contacts.map((contact) => contactRow(contact, analysis));
  if (analysis.kind === 'scan') return writeCsv(CONTACT_COLUMNS, rows);
  return writeCsv(
    [...CONTACT_COLUMNS, ...CROWN_COLUMNS],
    rows.map((row, k) => [...row, ...crownCells(analysis.contacts[k]!)]),
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

function crownCells({ crownContact }: Contact): CsvCell[] {
  if (crownContact === undefined) return CROWN_COLUMNS.map(() => null);
  const { buccalMm, a, b } = crownContact;
  return [
    buccalMm,
    a.overlapMm,
    b.overlapMm,
    a.within20umMm2,
    b.within20umMm2,
    a.within50umMm2,
    b.within50umMm2,
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
