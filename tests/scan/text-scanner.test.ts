import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  lineNumber,
  makeTextScanner,
  NO_NUMBER,
  nextWord,
  nextWordOnLine,
  skipLine,
  wordIs,
  wordNumber,
  wordText,
} from '../../src/scan/text-scanner.ts';
import { text } from '../helpers/scan-files.ts';

function numberOf(word: string): number | typeof NO_NUMBER {
  const scanner = makeTextScanner(text(word), 0);
  expect(nextWord(scanner)).toBe(true);
  return wordNumber(scanner);
}

describe('numbers in text', () => {
  test.each([
    '0',
    '-0',
    '1',
    '+7',
    '.5',
    '5.',
    '-12.75',
    '1e3',
    '1E-3',
    '2.5e+10',
    '0.1',
    '123456789.123456789',
    '9007199254740993',
    '1e22',
    '1e23',
    '4.35',
    '1e400',
    '5e-324',
    '0.000000000000000000000001',
    '1e-0005',
  ])('%s is read as the engine reads it', (word) => {
    expect(numberOf(word)).toBe(Number(word));
  });

  test.each(['nan', 'NaN', '-nan', 'nan(ind)', 'nan(inf)', '-nan(snan)', '1.#QNAN', '-1.#IND'])(
    '%s says that it is not a number',
    (word) => {
      expect(numberOf(word)).toBeNaN();
    },
  );

  test.each([
    ['inf', Number.POSITIVE_INFINITY],
    ['-INF', Number.NEGATIVE_INFINITY],
    ['+Infinity', Number.POSITIVE_INFINITY],
    ['1.#INF00', Number.POSITIVE_INFINITY],
    ['-1.#INF', Number.NEGATIVE_INFINITY],
  ])('%s is infinite', (word, value) => {
    expect(numberOf(word)).toBe(value);
  });

  test.each(['x', '1,5', '1.2.3', '--1', '1e', '1e+', '1e5x', '0x10', '.', '-', 'e5', '1_000', 'nano', '½'])(
    '%s is no number',
    (word) => {
      expect(numberOf(word)).toBe(NO_NUMBER);
    },
  );

  test('agrees with the engine on any printed double', () => {
    fc.assert(
      fc.property(fc.double({ noNaN: true, noDefaultInfinity: true }), (value) => {
        expect(numberOf(String(value))).toBe(Number(String(value)));
        expect(numberOf(value.toExponential(8))).toBe(Number(value.toExponential(8)));
        expect(numberOf(Math.fround(value / 1e290).toPrecision(9))).toBe(
          Number(Math.fround(value / 1e290).toPrecision(9)),
        );
      }),
      { seed: 31, numRuns: 2000 },
    );
  });
});

describe('words and lines', () => {
  test('words are found over spaces, tabs and every kind of line end', () => {
    const scanner = makeTextScanner(text('  a\tbb\r\nccc\rd\n\n'), 0);
    const words: string[] = [];
    while (nextWord(scanner)) words.push(wordText(scanner));
    expect(words).toEqual(['a', 'bb', 'ccc', 'd']);
  });

  test('a line end stops the search on a line; skipping stops before it', () => {
    const scanner = makeTextScanner(text('a b \r\n c'), 0);
    expect(nextWordOnLine(scanner) && nextWordOnLine(scanner)).toBe(true);
    expect(nextWordOnLine(scanner)).toBe(false);
    expect(nextWord(scanner)).toBe(true);
    expect(wordText(scanner)).toBe('c');
    const other = makeTextScanner(text('a b c\nd'), 0);
    skipLine(other);
    expect(nextWord(other)).toBe(true);
    expect(wordText(other)).toBe('d');
  });

  test('keywords are known in any case, and only whole', () => {
    const scanner = makeTextScanner(text('FaCeT facets'), 0);
    nextWord(scanner);
    expect(wordIs(scanner, 'facet')).toBe(true);
    nextWord(scanner);
    expect(wordIs(scanner, 'facet')).toBe(false);
  });

  test('lines are counted over LF, CRLF and CR', () => {
    const bytes = text('1\n2\r\n3\r4');
    expect([0, 2, 5, 7].map((offset) => lineNumber(bytes, offset))).toEqual([1, 2, 3, 4]);
  });

  test('a shown word is short and printable', () => {
    const scanner = makeTextScanner(new Uint8Array([65, 0x7f, 0x90, 0xe9, ...new Array(100).fill(66)]), 0);
    nextWord(scanner);
    expect(wordText(scanner)).toBe(`A??é${'B'.repeat(36)}`);
  });
});
