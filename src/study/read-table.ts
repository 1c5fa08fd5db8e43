import Papa from 'papaparse';
import { inputError } from '../geometry/archgap-error.ts';

/** A table as text cells, read from CSV. */
export interface TextTable {
  /** Names of the columns, trimmed, no two alike. */
  readonly columns: readonly string[];
  readonly rows: readonly TextRow[];
  /** `;` tables of spreadsheets may write 0,31 for 0.31. */
  readonly delimiter: string;
}

interface TextRow {
  /** Place among the rows below the header, from 1. */
  readonly number: number;
  /** As many cells as there are columns, trimmed; what a short row lacks is empty. */
  readonly cells: readonly string[];
  /** How many cells the file has in this row. */
  readonly width: number;
}

const DELIMITERS = [',', ';', '\t'];

/**
 * Reads CSV text: header, then rows; comma, semicolon or tab between the cells, quotes as in RFC 4180, any line end,
 * a byte order mark is skipped. Rows without any text are left out, columns without a name and without any text too.
 *
 * @param what - the table in words, for the sentence of an error: `manifest`
 * @throws ArchgapError `TABLE_IS_JSON`, `TABLE_EMPTY`, `TABLE_QUOTES`, `TABLE_COLUMN_UNNAMED`, `TABLE_COLUMN_TWICE`
 */
export function readTable(text: string, what: string): TextTable {
  const plain = text.replace(/^\uFEFF/, '');
  if (/^\s*[{[]\s*["{[\]}]/.test(plain)) {
    throw inputError('TABLE_IS_JSON', `The ${what} is JSON text; expected CSV with a header line.`);
  }
  const delimiter = delimiterOf(plain);
  const { data, errors } = Papa.parse<string[]>(plain, { delimiter, skipEmptyLines: false });
  const quotes = errors.find(({ type }) => type === 'Quotes');
  if (quotes) {
    throw inputError(
      'TABLE_QUOTES',
      `The ${what} has a quote that is never closed or stands inside a cell, near line ${(quotes.row ?? 0) + 1}; expected CSV with quotes doubled inside quoted cells.`,
    );
  }
  const [header, ...body] = data.map((cells) => cells.map((cell) => cell.trim()));
  if (header === undefined || header.every((name) => name === '')) {
    throw inputError('TABLE_EMPTY', `The ${what} is empty; expected a header line and rows below it.`);
  }
  const rows = body
    .map((cells, k) => ({ number: k + 1, cells, width: cells.length }))
    .filter(({ cells }) => cells.some((cell) => cell !== ''));
  const kept = header.map((_, k) => k).filter((k) => header[k] !== '' || rows.some(({ cells }) => cells[k]));
  const columns = kept.map((k) => header[k]!);
  checkNames(columns, what);
  return {
    columns,
    // Cells beyond the header were counted in `width`; blank columns at the end are no fault.
    rows: rows.map(({ number, cells }) => ({
      number,
      cells: kept.map((k) => cells[k] ?? ''),
      width: cells.slice(header.length).some((cell) => cell !== '')
        ? cells.length
        : Math.min(cells.length, header.length),
    })),
    delimiter,
  };
}

/** A file that is no table may have a header line without an end. */
const MOST_HEADER = 200;

/** The names of columns, for the sentence of an error. */
export function columnsText(columns: readonly string[]): string {
  const text = columns.join(', ');
  return text.length <= MOST_HEADER ? text : `${text.slice(0, MOST_HEADER - 1)}…`;
}

/** The separator that the header line has most of, outside quotes; a header of one column has none. */
function delimiterOf(text: string): string {
  const header = (/^[^\r\n]*/.exec(text.trimStart())?.[0] ?? '').replace(/"(?:[^"]|"")*"/g, '');
  const counts = DELIMITERS.map((delimiter) => header.split(delimiter).length);
  return DELIMITERS[counts.indexOf(Math.max(...counts))] ?? ',';
}

function checkNames(columns: readonly string[], what: string): void {
  const unnamed = columns.indexOf('');
  if (unnamed >= 0) {
    throw inputError(
      'TABLE_COLUMN_UNNAMED',
      `Column ${unnamed + 1} of the ${what} has cells but no name; expected a name in the header line.`,
    );
  }
  const twice = columns.find((name, k) => columns.indexOf(name) < k);
  if (twice !== undefined) {
    throw inputError(
      'TABLE_COLUMN_TWICE',
      `The ${what} has two columns "${twice}"; expected every name once.`,
      { details: { column: twice } },
    );
  }
}
