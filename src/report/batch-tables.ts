import Papa from 'papaparse';
import { ArchgapError } from '../geometry/archgap-error.ts';
import type { ManifestRow, RowFault } from '../study/read-manifest.ts';
import { CONTACT_COLUMNS } from './contacts-csv.ts';
import { type CsvCell, writeCsvRows } from './csv-text.ts';
import { CONTACT_FIELDS, type TableField, TEETH_FIELDS } from './table-fields.ts';
import { TEETH_COLUMNS } from './teeth-csv.ts';

/**
 * The tables of a batch: what every row of the manifest gave, with the manifest's further columns before it, so that
 * each table stands for itself.
 */

export type BatchTableName = 'contacts' | 'teeth' | 'rows' | 'failures';

/** One table: its columns with what they hold, in order. */
export interface BatchTable {
  readonly name: BatchTableName;
  readonly title: string;
  readonly fields: readonly (TableField & { readonly name: string })[];
  readonly primaryKey: readonly string[];
}

/** What is known of a row after the batch; `result` is null where it failed. */
export interface BatchRow {
  readonly manifest: ManifestRow;
  readonly fault: RowFault | null;
  readonly result: BatchRowResult | null;
}

interface BatchRowResult {
  readonly jaw: string;
  readonly triangles: number | null;
  readonly medianEdgeMm: number | null;
  readonly contacts: number;
  readonly withNumber: number;
  readonly open: number;
  readonly scanSha256: string;
  readonly clicksSha256: string;
  readonly resultSha256: string;
}

const text = (description: string): TableField => ({ type: 'string', description });
const count = (description: string): TableField => ({ type: 'integer', description });

const ROW_KEY: TableField = {
  type: 'string',
  required: true,
  description: 'Row of the batch: what tells its scan apart, and the name of its folder',
};
const SCAN_PATH = text('Scan, as the manifest names it; from its folder where that holds the file');
const CLICKS_PATH = text('Click file, as the manifest names it; from its folder where that holds the file');

const ROW_FIELDS: Readonly<Record<string, TableField>> = {
  scan: SCAN_PATH,
  clicks: CLICKS_PATH,
  jaw: { ...text('Jaw'), enum: ['upper', 'lower'] },
  outcome: { ...text('Whether there is a result'), enum: ['done', 'failed'], required: true },
  code: text('Why there is none'),
  triangles: count('Triangles of the checked mesh'),
  median_edge_mm: { type: 'number', unit: 'mm', description: 'Median edge of the mesh' },
  contacts: count('Pairs of neighbours without a missing tooth between them'),
  contacts_with_number: count('Of these, contacts whose space was measured'),
  contacts_open: count('Of these, open contacts'),
  scan_sha256: text('SHA-256 of the scan'),
  clicks_sha256: text('SHA-256 of the click file'),
  result_sha256: text('SHA-256 of the result.json in the folder of the row'),
};

const FAILURE_FIELDS: Readonly<Record<string, TableField>> = {
  scan: SCAN_PATH,
  clicks: CLICKS_PATH,
  code: { ...text('Stable code of the fault'), required: true },
  sentence: text('What was found, what was expected, what to do'),
};

const OWN_NAMES = [
  'row',
  ...CONTACT_COLUMNS,
  ...TEETH_COLUMNS,
  ...Object.keys(ROW_FIELDS),
  ...Object.keys(FAILURE_FIELDS),
];

/**
 * The four tables of a batch.
 * @param carried - further columns of the manifest; one whose name a table has already is called `manifest_` and its name
 */
export function batchTables(carried: readonly string[]): Readonly<Record<BatchTableName, BatchTable>> {
  const lead = [{ name: 'row', ...ROW_KEY }, ...carriedNames(carried).map((name) => carriedField(name))];
  const table = (
    name: BatchTableName,
    title: string,
    fields: Readonly<Record<string, TableField>>,
    key: readonly string[],
  ): BatchTable => ({
    name,
    title,
    fields: [...lead, ...Object.entries(fields).map(([column, field]) => ({ name: column, ...field }))],
    primaryKey: ['row', ...key],
  });
  return {
    contacts: table('contacts', 'Every contact of every scan', CONTACT_FIELDS, ['tooth_a', 'tooth_b']),
    teeth: table('teeth', 'Every tooth of every scan', TEETH_FIELDS, ['tooth']),
    rows: table('rows', 'What was measured, and what came of it', ROW_FIELDS, []),
    failures: table('failures', 'Rows without a result', FAILURE_FIELDS, []),
  };
}

function carriedNames(carried: readonly string[]): string[] {
  const names = new Set<string>();
  for (const name of carried) {
    let free = name;
    while (OWN_NAMES.includes(free) || names.has(free) || (free !== name && carried.includes(free)))
      free = `manifest_${free}`;
    names.add(free);
  }
  return [...names];
}

function carriedField(name: string): TableField & { readonly name: string } {
  return { name, type: 'string', description: 'From the manifest' };
}

export function tableHeader({ fields }: BatchTable): string {
  return writeCsvRows([fields.map(({ name }) => name)]);
}

/**
 * The lines of one row in the table of contacts or teeth.
 * @param csv - `contacts.csv` or `teeth.csv` of the row's folder, as this version writes it
 */
export function measuredLines(table: BatchTable, row: ManifestRow, csv: string): string {
  const fields = table.fields.slice(1 + row.cells.length);
  const { data } = Papa.parse<string[]>(csv, { delimiter: ',', newline: '\n', skipEmptyLines: true });
  const [header, ...body] = data;
  if (header?.join() !== fields.map(({ name }) => name).join()) {
    throw new ArchgapError(
      'internal',
      'ROW_TABLE_ODD',
      `The table of ${table.name} in the folder of row ${row.name} has other columns than this version writes; remove that folder and run the batch again.`,
    );
  }
  return writeCsvRows(
    body.map((cells) => [
      ...leadCells(row),
      ...cells.map((cell, k): CsvCell => (cell === '' || fields[k]?.type === 'string' ? cell : Number(cell))),
    ]),
  );
}

function leadCells({ name, cells }: ManifestRow): readonly string[] {
  return [name, ...cells];
}

/** The line of one row in the table of rows. */
export function rowLine({ manifest, fault, result }: BatchRow): string {
  const facts: readonly CsvCell[] = result
    ? [
        result.triangles,
        result.medianEdgeMm,
        result.contacts,
        result.withNumber,
        result.open,
        result.scanSha256,
        result.clicksSha256,
        result.resultSha256,
      ]
    : Array.from({ length: 8 }, () => null);
  return writeCsvRows([
    [
      ...leadCells(manifest),
      manifest.scan,
      manifest.clicks,
      result?.jaw ?? manifest.jaw,
      result ? 'done' : 'failed',
      fault?.code ?? null,
      ...facts,
    ],
  ]);
}

/** The line of one row in the table of failures; nothing where it did not fail. */
export function failureLine({ manifest, fault }: BatchRow): string {
  if (fault === null) return '';
  return writeCsvRows([[...leadCells(manifest), manifest.scan, manifest.clicks, fault.code, fault.sentence]]);
}
