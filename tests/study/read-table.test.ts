import { describe, expect, it } from 'vitest';
import { readTable } from '../../src/study/read-table.ts';

const cells = (text: string) => {
  const table = readTable(text, 'list');
  return [table.columns, ...table.rows.map((row) => row.cells)];
};

describe('readTable', () => {
  it.each([
    ['commas', 'a,b\n1,2\n'],
    ['semicolons and CRLF', 'a;b\r\n1;2\r\n'],
    ['tabs and no end of line', 'a\tb\n1\t2'],
    ['a byte order mark', '\uFEFFa,b\n1,2\n'],
    ['spaces round the cells', ' a , b \n 1 , 2 \n'],
    ['blank columns and rows of a spreadsheet', 'a,b,,\n1,2,,\n,,,\n'],
  ])('reads %s', (_, text) => {
    expect(cells(text)).toEqual([
      ['a', 'b'],
      ['1', '2'],
    ]);
  });

  it('keeps separators, quotes and line breaks inside quotes', () => {
    expect(cells('a,b\n"x, ""y""","1\n2"\n')).toEqual([
      ['a', 'b'],
      ['x, "y"', '1\n2'],
    ]);
  });

  it('fills short rows and counts the cells of long ones', () => {
    const { rows } = readTable('a,b\n1\n1,2,3\n\n4,5\n', 'list');
    expect(rows.map(({ number, width }) => [number, width])).toEqual([
      [1, 1],
      [2, 3],
      [4, 2],
    ]);
    expect(rows[0]!.cells).toEqual(['1', '']);
  });

  it('takes names that objects have themselves for names', () => {
    expect(cells('__proto__,constructor\nx,y\n')).toEqual([
      ['__proto__', 'constructor'],
      ['x', 'y'],
    ]);
  });

  it.each([
    ['nothing', '', 'TABLE_EMPTY'],
    ['blank lines', '\n\n', 'TABLE_EMPTY'],
    ['an open quote', 'a,b\n"1,2\n', 'TABLE_QUOTES'],
    ['a column without a name', 'a,\n1,2\n', 'TABLE_COLUMN_UNNAMED'],
    ['JSON', '{"scan": 1}', 'TABLE_IS_JSON'],
    ['a name twice', 'a,a\n1,2\n', 'TABLE_COLUMN_TWICE'],
  ])('refuses %s', (_, text, code) => {
    expect(() => readTable(text, 'list')).toThrow(expect.objectContaining({ code }));
  });
});
