import { inputError } from '../geometry/archgap-error.ts';
import type { Jaw } from '../teeth/types.ts';
import { columnsText, readTable } from './read-table.ts';
import { type RowToName, rowNames } from './row-names.ts';

/** Columns that say what to measure; all others are carried through to the tables. */
const OWN_COLUMNS = ['scan', 'clicks', 'jaw'];

/** Columns that tell repeated measurements apart, in the order in which they name the folder of a row. */
const NAMING_COLUMNS = ['id', 'jaw', 'session', 'scanner', 'operator', 'repeat'];

/** A column name that is safe in a spreadsheet, in R and in a schema. */
const NAME = /^[\p{L}_][\p{L}\p{N}_ .-]*$/u;

/** One scan to measure. */
export interface ManifestRow {
  /** Place among the rows of the manifest, from 1. */
  readonly number: number;
  /** Name of the row's folder and key of the row in every table: letters, digits, `.`, `_`, `-`; no two alike. */
  readonly name: string;
  /** Paths as the manifest has them, or as they are to be written from there on. */
  readonly scan: string;
  readonly clicks: string;
  /** Paths as the manifest has them: where the files are looked for. */
  readonly listed: { readonly scan: string; readonly clicks: string };
  /** What the manifest says of the jaw; the click file must agree. Null: nothing. */
  readonly jaw: Jaw | null;
  /** The cells of {@link Manifest.carried}, in that order. */
  readonly cells: readonly string[];
  /** Why the row cannot be measured as it stands, or null. */
  readonly fault: RowFault | null;
}

export interface RowFault {
  readonly code: string;
  readonly sentence: string;
}

export interface Manifest {
  /** Names of the further columns. */
  readonly carried: readonly string[];
  readonly rows: readonly ManifestRow[];
}

/**
 * Reads the list of scans of a batch. A row that is faulty by itself carries its fault; only a list that cannot be
 * used at all is refused.
 *
 * The folder of a row is named by the columns id, jaw, session, scanner, operator, repeat as far as they are there,
 * without an id by the file name of the scan before them, and by what else tells it apart ({@link rowNames}).
 *
 * @param pathOf - how a path of the list is to be written from here on; as it stands there unless given
 * @throws ArchgapError `MANIFEST_INVALID`, and what {@link readTable} throws
 */
export function readManifest(text: string, pathOf: (told: string) => string = (told) => told): Manifest {
  const table = readTable(text, 'manifest');
  const lacking = ['scan', 'clicks'].filter((name) => !table.columns.includes(name));
  if (lacking.length > 0) {
    throw inputError(
      'MANIFEST_INVALID',
      `The manifest has no column ${lacking.join(', ')}; it has ${columnsText(table.columns)}. Expected scan and clicks, and if wanted jaw, id, operator, session, scanner, repeat and further columns.`,
    );
  }
  const odd = table.columns.find((name) => !NAME.test(name));
  if (odd !== undefined) {
    throw inputError(
      'MANIFEST_INVALID',
      `The manifest has a column "${odd}"; expected names that begin with a letter and hold letters, digits, spaces, ".", "_" and "-".`,
    );
  }
  if (table.rows.length === 0) {
    throw inputError('MANIFEST_INVALID', 'The manifest has no rows; expected one row per scan.');
  }
  const carried = table.columns.filter((name) => !OWN_COLUMNS.includes(name));
  const cellOf =
    ({ cells }: { readonly cells: readonly string[] }) =>
    (name: string) =>
      cells[table.columns.indexOf(name)] ?? '';
  const names = rowNames(table.rows.map((row) => rowToName(cellOf(row), pathOf)));
  const rows = table.rows.map((row, k): ManifestRow => {
    const cell = cellOf(row);
    const jaw = cell('jaw').toLowerCase();
    return {
      number: row.number,
      name: names[k]!,
      scan: pathOf(cell('scan')),
      clicks: pathOf(cell('clicks')),
      listed: { scan: cell('scan'), clicks: cell('clicks') },
      jaw: jaw === 'upper' || jaw === 'lower' ? jaw : null,
      cells: carried.map(cell),
      fault: rowFault(cell, jaw, row.width, table.columns.length),
    };
  });
  return { carried, rows };
}

function rowToName(cell: (name: string) => string, pathOf: (told: string) => string): RowToName {
  const named = NAMING_COLUMNS.map(cell);
  return {
    cells: named.filter((text) => text !== ''),
    hasId: named[0] !== '',
    scan: pathOf(cell('scan')),
    clicks: pathOf(cell('clicks')),
  };
}

function rowFault(
  cell: (name: string) => string,
  jaw: string,
  width: number,
  columns: number,
): RowFault | null {
  if (width > columns) {
    return {
      code: 'ROW_TOO_LONG',
      sentence: `The row has ${width} cells for ${columns} columns; put cells that hold a comma in quotes.`,
    };
  }
  for (const name of ['scan', 'clicks']) {
    if (cell(name) === '')
      return { code: 'ROW_CELL_EMPTY', sentence: `The row has nothing in column ${name}; expected a file.` };
  }
  if (jaw !== '' && jaw !== 'upper' && jaw !== 'lower') {
    return {
      code: 'ROW_JAW_UNKNOWN',
      sentence: `The row has "${cell('jaw')}" in column jaw; expected upper, lower or nothing.`,
    };
  }
  return null;
}
