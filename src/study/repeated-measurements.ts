import { inputError } from '../geometry/archgap-error.ts';
import { columnsText, readTable } from './read-table.ts';

/** Columns that say which measurement of a target it is, in the order in which they are told. */
const OCCASION_COLUMNS = ['operator', 'session', 'scanner', 'repeat'];
/** Columns that say what was measured. */
const TARGET_COLUMNS = ['id', 'jaw', 'tooth_a', 'tooth_b', 'tooth'];
/** Columns that hold a measurement, the first that is there. */
const VALUE_COLUMNS = ['gap_mm', 'mesiodistal_mm', 'value'];
/** Beyond what anything in a mouth measures in any unit down to micrometres; squares of numbers without end are none. */
const MOST_VALUE = 1e6;
/** Columns that say which scan was measured, the surest first: files of several patients are often called alike. */
const SCAN_COLUMNS = ['scan_sha256', 'scan'] as const;
/** Tells tables apart when no column does. */
const TABLE_COLUMN = 'table';

export interface NamedTable {
  /** File name, for sentences and as the level where tables are the occasions. */
  readonly name: string;
  readonly text: string;
}

export interface RepeatedOptions {
  /** Column of the measurement; null: gap_mm, mesiodistal_mm or value, the first that is there. */
  readonly value: string | null;
  /** Columns that name a target; null: those of id, jaw, tooth_a, tooth_b, tooth (and scan) that are there. */
  readonly target: readonly string[] | null;
  /** Columns that name an occasion; null: those of operator, session, scanner, repeat that are there. */
  readonly by: readonly string[] | null;
}

/** One target over all occasions. */
export interface RepeatedTarget {
  readonly label: string;
  /** Cells of the target columns. */
  readonly levels: readonly string[];
  /** Per occasion; null where there is no number. */
  readonly values: readonly (number | null)[];
  /** Per occasion, why there is none: the cell of column `status`, `no number`, or `no row`; empty with a number. */
  readonly reasons: readonly string[];
  /** Per occasion, the scan that was measured, as `scanColumn` names it; null where no row or no name is. */
  readonly scans: readonly (string | null)[];
}

export interface RepeatedMeasurements {
  readonly valueColumn: string;
  /** `mm`, `mm2`, `deg` by the ending of the column's name, else empty. */
  readonly unit: string;
  readonly targetColumns: readonly string[];
  readonly occasionColumns: readonly string[];
  /** The levels of every occasion, one per occasion column; in the order in which they first come. */
  readonly occasions: readonly (readonly string[])[];
  readonly targets: readonly RepeatedTarget[];
  /** The column by which the scans of the occasions can be told apart; null where the tables have none. */
  readonly scanColumn: (typeof SCAN_COLUMNS)[number] | null;
}

interface Row {
  readonly table: string;
  readonly number: number;
  readonly cell: (column: string) => string;
  readonly decimalComma: boolean;
}

/**
 * Puts measurements of the same targets, from one table or several, into one array of targets and occasions. Nothing
 * is filled in: a cell without a number stays without one, with the reason.
 *
 * @throws ArchgapError `AGREEMENT_COLUMN_MISSING`, `AGREEMENT_NOT_A_NUMBER`, `AGREEMENT_TWICE`, `AGREEMENT_ONE_OCCASION`,
 *   and what {@link readTable} throws
 */
export function repeatedMeasurements(
  tables: readonly NamedTable[],
  options: RepeatedOptions,
): RepeatedMeasurements {
  const { rows, shared, columnsOf } = readRows(tables);
  const valueColumn = pickValue(shared, columnsOf, options.value);
  for (const name of [...(options.target ?? []), ...(options.by ?? [])])
    if (name !== TABLE_COLUMN && !shared.includes(name)) throw columnMissing([name], shared, columnsOf);
  const present = (columns: readonly string[]) => columns.filter((name) => shared.includes(name));
  let occasionColumns = options.by ?? present(OCCASION_COLUMNS);
  let targetColumns =
    options.target ?? present(TARGET_COLUMNS).filter((name) => !occasionColumns.includes(name));
  // Without an id the scan may tell the mouths apart, unless every repetition is a scan of its own.
  if (options.target === null && !shared.includes('id') && scanTellsTargets(rows, shared, occasionColumns))
    targetColumns = ['scan', ...targetColumns];
  const isTwice = (columns: readonly string[]) => twice(rows, targetColumns, columns) !== null;
  if (options.by === null && tables.length > 1 && isTwice(occasionColumns))
    occasionColumns = [TABLE_COLUMN, ...occasionColumns];
  const clash = twice(rows, targetColumns, occasionColumns);
  if (clash) {
    const [first, second] = clash;
    throw inputError(
      'AGREEMENT_TWICE',
      `Row ${first.number} of ${first.table} and row ${second.number} of ${second.table} are one target (${targetColumns.join(', ') || 'no column'}) on one occasion (${occasionColumns.join(', ') || 'no column'}); add a column id where they are of different mouths, else one of operator, session, scanner or repeat, or name columns with --target and --by.`,
    );
  }
  return arrange(rows, valueColumn, targetColumns, occasionColumns, shared);
}

/** Columns of every table by its name. */
type ColumnsOf = ReadonlyMap<string, readonly string[]>;

function readRows(tables: readonly NamedTable[]): {
  readonly rows: Row[];
  readonly shared: readonly string[];
  readonly columnsOf: ColumnsOf;
} {
  let shared: readonly string[] | null = null;
  const rows: Row[] = [];
  const columnsOf = new Map<string, readonly string[]>();
  for (const { name, text } of tables) {
    const table = readTable(text, `table ${name}`);
    columnsOf.set(name, table.columns);
    shared = shared === null ? table.columns : shared.filter((column) => table.columns.includes(column));
    for (const row of table.rows) {
      rows.push({
        table: name,
        number: row.number,
        cell: (column) =>
          column === TABLE_COLUMN && !table.columns.includes(column)
            ? name
            : (row.cells[table.columns.indexOf(column)] ?? ''),
        decimalComma: table.delimiter === ';',
      });
    }
  }
  return { rows, shared: shared ?? [], columnsOf };
}

function pickValue(shared: readonly string[], columnsOf: ColumnsOf, asked: string | null): string {
  const wanted = asked === null ? VALUE_COLUMNS : [asked];
  const found = wanted.find((name) => shared.includes(name));
  if (found !== undefined) return found;
  throw columnMissing(wanted, shared, columnsOf);
}

/** Names the first table that has none of the columns; where every one has another of them, what they have in common. */
function columnMissing(wanted: readonly string[], shared: readonly string[], columnsOf: ColumnsOf): Error {
  const names = wanted.join(', ');
  const without = [...columnsOf].find(([, columns]) => !wanted.some((name) => columns.includes(name)));
  const sentence = without
    ? `Table ${without[0]} has no column ${names}; its header line is ${columnsText(without[1])}.`
    : `No column ${names} is in every table; all have ${shared.join(', ') || 'none in common'}.`;
  return inputError('AGREEMENT_COLUMN_MISSING', sentence);
}

function scanTellsTargets(rows: readonly Row[], shared: readonly string[], by: readonly string[]): boolean {
  if (!shared.includes('scan')) return false;
  const occasionsOf = new Map<string, Set<string>>();
  for (const row of rows) {
    const scan = row.cell('scan');
    const seen = occasionsOf.get(scan) ?? new Set();
    seen.add(keyOf(row, [TABLE_COLUMN, ...by]));
    occasionsOf.set(scan, seen);
  }
  return [...occasionsOf.values()].every((seen) => seen.size > 1);
}

function keyOf(row: Row, columns: readonly string[]): string {
  return JSON.stringify(columns.map(row.cell));
}

/** Two rows of one target and one occasion, or null. */
function twice(
  rows: readonly Row[],
  target: readonly string[],
  occasion: readonly string[],
): readonly [Row, Row] | null {
  const seen = new Map<string, Row>();
  for (const row of rows) {
    const key = keyOf(row, [...target, ...occasion]);
    const before = seen.get(key);
    if (before) return [before, row];
    seen.set(key, row);
  }
  return null;
}

function arrange(
  rows: readonly Row[],
  valueColumn: string,
  targetColumns: readonly string[],
  occasionColumns: readonly string[],
  shared: readonly string[],
): RepeatedMeasurements {
  const occasions = new Map<string, readonly string[]>();
  const targets = new Map<string, { levels: readonly string[]; cells: Map<string, Row> }>();
  for (const row of rows) {
    const occasion = keyOf(row, occasionColumns);
    occasions.set(occasion, occasions.get(occasion) ?? occasionColumns.map(row.cell));
    const key = keyOf(row, targetColumns);
    const target = targets.get(key) ?? { levels: targetColumns.map(row.cell), cells: new Map() };
    target.cells.set(occasion, row);
    targets.set(key, target);
  }
  if (occasions.size < 2) {
    throw inputError(
      'AGREEMENT_ONE_OCCASION',
      `All rows are of one occasion${occasionColumns.length > 0 ? ` (${occasionColumns.join(', ')})` : ''}; expected repeated measurements told apart by operator, session, scanner, repeat, or by table.`,
    );
  }
  const hasStatus = shared.includes('status');
  const scanColumn = SCAN_COLUMNS.find((name) => shared.includes(name)) ?? null;
  return {
    valueColumn,
    unit: /_(mm2|mm|deg)$/.exec(valueColumn)?.[1] ?? '',
    targetColumns,
    occasionColumns,
    occasions: [...occasions.values()],
    scanColumn,
    targets: [...targets.values()].map(({ levels, cells }) => {
      const found = [...occasions.keys()].map((key) => cells.get(key) ?? null);
      const values = found.map((row) => row && numberIn(row, valueColumn));
      return {
        label: levels.join(' '),
        levels,
        values,
        scans: found.map((row) => (scanColumn === null ? null : row?.cell(scanColumn) || null)),
        reasons: found.map((row, k) => {
          if (row === null) return 'no row';
          if (values[k] !== null) return '';
          return (hasStatus && row.cell('status')) || 'no number';
        }),
      };
    }),
  };
}

function numberIn(row: Row, column: string): number | null {
  const cell = row.cell(column);
  if (cell === '') return null;
  const text = row.decimalComma ? cell.replace(',', '.') : cell;
  const value = /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i.test(text) ? Number(text) : Number.NaN;
  if (Math.abs(value) <= MOST_VALUE) return value;
  throw inputError(
    'AGREEMENT_NOT_A_NUMBER',
    `Row ${row.number} of ${row.table} has "${cell}" as ${column}; expected a number from -1000000 to 1000000, or nothing.`,
  );
}
