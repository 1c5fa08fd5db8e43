import Papa from 'papaparse';

/** A cell: text, a number written plainly, or nothing. */
export type CsvCell = string | number | null;

/** Numbers in CSV files are written to 0.1 micrometre; more digits would only look exact. */
const DECIMALS = 4;

/**
 * A table as CSV: comma, header, `\n` line ends, quotes only where needed. Text that a spreadsheet could take for a
 * formula gets an apostrophe before it; numbers stay numbers, negative ones too.
 */
export function writeCsv(columns: readonly string[], rows: readonly (readonly CsvCell[])[]): string {
  const cells = rows.map((row) =>
    row.map((cell) => (typeof cell === 'number' ? rounded(cell) : (cell ?? ''))),
  );
  const text = Papa.unparse([[...columns], ...cells], { newline: '\n', escapeFormulae: true });
  return `${text}\n`;
}

function rounded(value: number): number {
  const result = Number(value.toFixed(DECIMALS));
  // -0 would be written as `0` by some writers and `-0` by others.
  return result === 0 ? 0 : result;
}
