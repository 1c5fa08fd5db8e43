import { inputError } from '../geometry/archgap-error.ts';
import type { Jaw } from '../teeth/types.ts';
import { readTable, type TextTable } from './read-table.ts';

/** Columns that say what to measure; all others are carried through to the tables. */
const OWN_COLUMNS = ['scan', 'clicks', 'jaw'];

/** Columns that tell repeated measurements apart, in the order in which they name the folder of a row. */
const NAMING_COLUMNS = ['id', 'jaw', 'session', 'scanner', 'operator', 'repeat'];

/** Longest name of a folder that every file system takes with room for a suffix. */
const MOST_NAME_CHARACTERS = 100;

/** A column name that is safe in a spreadsheet, in R and in a schema. */
const NAME = /^[\p{L}_][\p{L}\p{N}_ .-]*$/u;

/** One scan to measure. */
export interface ManifestRow {
  /** Place among the rows of the manifest, from 1. */
  readonly number: number;
  /** Name of the row's folder and key of the row in every table: letters, digits, `.`, `_`, `-`; no two alike. */
  readonly name: string;
  /** Paths as the manifest has them. */
  readonly scan: string;
  readonly clicks: string;
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
 * else by the file name of the scan; rows that would be named alike get -2, -3 ... in their order.
 *
 * @throws ArchgapError `MANIFEST_INVALID`, and what {@link readTable} throws
 */
export function readManifest(text: string): Manifest {
  const table = readTable(text, 'manifest');
  const lacking = ['scan', 'clicks'].filter((name) => !table.columns.includes(name));
  if (lacking.length > 0) {
    throw inputError(
      'MANIFEST_INVALID',
      `The manifest has no column ${lacking.join(', ')}; expected scan and clicks, and if wanted jaw, id, operator, session, scanner, repeat and further columns.`,
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
  const taken = new Set<string>();
  const rows = table.rows.map((row): ManifestRow => {
    const cell = (name: string) => row.cells[table.columns.indexOf(name)] ?? '';
    const jaw = cell('jaw').toLowerCase();
    return {
      number: row.number,
      name: uniqueName(folderName(table, cell), taken),
      scan: cell('scan'),
      clicks: cell('clicks'),
      jaw: jaw === 'upper' || jaw === 'lower' ? jaw : null,
      cells: carried.map(cell),
      fault: rowFault(cell, jaw, row.width, table.columns.length),
    };
  });
  return { carried, rows };
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

function folderName(table: TextTable, cell: (name: string) => string): string {
  const named = NAMING_COLUMNS.filter((name) => table.columns.includes(name) && cell(name) !== '');
  const stem = cell('scan')
    .replace(/^.*[/\\]/, '')
    .replace(/\.[^.]*$/, '');
  const parts = named.includes('id') ? named.map(cell) : [stem, ...named.map(cell)];
  const name = parts
    .map((part) =>
      part
        .normalize('NFKD')
        .replace(/\p{M}/gu, '')
        .replace(/[^A-Za-z0-9.-]+/g, '-'),
    )
    .join('_')
    .replace(/^[.-]+|[.-]+$/g, '')
    .slice(0, MOST_NAME_CHARACTERS);
  return name === '' ? 'row' : name;
}

/** Some file systems do not tell upper case from lower. */
function uniqueName(name: string, taken: Set<string>): string {
  let unique = name;
  for (let k = 2; taken.has(unique.toLowerCase()); k += 1) unique = `${name}-${k}`;
  taken.add(unique.toLowerCase());
  return unique;
}
