import Papa from 'papaparse';
import { describe, expect, it } from 'vitest';
import { writeCsv } from '../../src/report/csv-text.ts';

describe('writeCsv', () => {
  it('writes a header, newline ends, and empty cells for nothing', () => {
    expect(
      writeCsv(
        ['a', 'b'],
        [
          ['x', null],
          [1.5, ''],
        ],
      ),
    ).toBe('a,b\nx,\n1.5,\n');
  });

  it('keeps numbers plain, negative ones too, to four decimals and without -0', () => {
    expect(writeCsv(['v'], [[-0.12], [0.123456], [-0.00001], [1e-7], [12345.6789]])).toBe(
      'v\n-0.12\n0.1235\n0\n0\n12345.6789\n',
    );
  });

  it.each(['=1+1', '+1', '-2+3', '@sum', '\t=1', '\r=1'])(
    'disarms text that looks like a formula: %j',
    (text) => {
      const written = writeCsv(['t'], [[text]]);
      const read = Papa.parse<string[]>(written.trimEnd(), { newline: '\n' }).data;
      expect(read[1]?.[0]).toBe(`'${text}`);
    },
  );

  it.each(['scan;=1+1', 'a; @sum', 'x;y;-2+3'])(
    'disarms what becomes a formula where the semicolon separates cells: %j',
    (text) => {
      const line = writeCsv(['t', 'u'], [['plain', text]]).split('\n')[1]!;
      for (const cell of line.split(';')) expect(cell).not.toMatch(/^\s*[=+@-]/);
    },
  );

  it('leaves reasons joined by semicolons as they are', () => {
    expect(writeCsv(['t'], [['near-gum;one-sided']])).toBe('t\nnear-gum;one-sided\n');
  });

  it('leaves numbers that come as text what they are', () => {
    expect(writeCsv(['t'], [['-5'], ['-0.25'], ['-5-2']])).toBe('t\n-5\n-0.25\n"\'-5-2"\n');
  });

  it('quotes commas, quotes and line breaks so that they come back', () => {
    const nasty = 'a, "b"\nc';
    const read = Papa.parse<string[]>(writeCsv(['t', 'u'], [[nasty, 'x']]).trimEnd(), { newline: '\n' }).data;
    expect(read[1]).toEqual([nasty, 'x']);
  });

  it('writes only the header for no rows', () => {
    expect(writeCsv(['a', 'b'], [])).toBe('a,b\n');
  });
});
