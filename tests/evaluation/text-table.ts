/** A column: its header, and whether it holds text (left) or numbers (right). */
export interface Column {
  readonly name: string;
  readonly align: 'left' | 'right';
}

/** Columns from their names; a name that begins with "<" is text. */
export function columns(...names: readonly string[]): Column[] {
  return names.map((name) =>
    name.startsWith('<') ? { name: name.slice(1), align: 'left' } : { name, align: 'right' },
  );
}

/**
 * A table in Markdown, padded so that it also reads well in a terminal. Nothing known (null) is a dash.
 */
export function textTable(header: readonly Column[], rows: readonly (readonly (string | null)[])[]): string {
  const text = rows.map((row) => header.map((_, c) => row[c] ?? '-'));
  const width = header.map(({ name }, c) => Math.max(3, name.length, ...text.map((row) => row[c]!.length)));
  const line = (cells: readonly string[]): string =>
    `| ${cells.map((cell, c) => (header[c]!.align === 'left' ? cell.padEnd(width[c]!) : cell.padStart(width[c]!))).join(' | ')} |`;
  const rule = width.map((w, c) =>
    header[c]!.align === 'left' ? '-'.repeat(w + 2) : `${'-'.repeat(w + 1)}:`,
  );
  return [line(header.map(({ name }) => name)), `|${rule.join('|')}|`, ...text.map(line)].join('\n');
}

/** A number with a fixed count of decimals; null stays null. */
export function fixed(value: number | null, decimals: number): string | null {
  return value === null ? null : value.toFixed(decimals);
}

/** A share, 0 to 1, in per cent with one decimal. */
export function percent(share: number | null): string | null {
  return share === null ? null : `${(100 * share).toFixed(1)} %`;
}

/** A length in mm as micrometres. */
export function micrometres(mm: number | null): string | null {
  return mm === null ? null : (1000 * mm).toFixed(1);
}
