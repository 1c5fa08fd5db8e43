import Papa from 'papaparse';

/** A cell: text, a number written plainly, or nothing. */
export type CsvCell = string | number | null;

/** Numbers in CSV files are written to 0.1 micrometre; more digits would only look exact. */
const DECIMALS = 4;

/** How text begins that a spreadsheet could take for a formula. A plain negative number, -5, is none. */
const FORMULA = /^[=+@\t\r]|^-(?!\d+(?:\.\d+)?$)/;

/** The same after a semicolon: where that separates cells, what follows it becomes a cell of its own. */
const FORMULA_AFTER_SEMICOLON = /;(?=\s*[=+@-])/g;

/**
 * A table as CSV: comma, header, `\n` line ends, quotes only where needed. Text that a spreadsheet could take for a
 * formula gets an apostrophe before it; numbers stay numbers, negative ones too.
 */
export function writeCsv(columns: readonly string[], rows: readonly (readonly CsvCell[])[]): string {
  return writeCsvRows([columns, ...rows]);
}

/** Rows alone, as {@link writeCsv} writes them: for tables that are written piece by piece. */
export function writeCsvRows(rows: readonly (readonly CsvCell[])[]): string {
  if (rows.length === 0) return '';
  const cells = rows.map((row) =>
    row.map((cell) => (typeof cell === 'number' ? rounded(cell) : disarmed(cell ?? ''))),
  );
  return `${Papa.unparse(cells, { newline: '\n', escapeFormulae: FORMULA })}\n`;
}

function disarmed(text: string): string {
  return text.replace(FORMULA_AFTER_SEMICOLON, ";'");
}

function rounded(value: number): number {
  const result = Number(value.toFixed(DECIMALS));
  // -0 would be written as `0` by some writers and `-0` by others.
  return result === 0 ? 0 : result;
}
