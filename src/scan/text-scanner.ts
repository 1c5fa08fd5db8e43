/**
 * Reads words and numbers from the bytes of a text file without making a string of the whole file. Lines may end
 * with LF, CRLF or CR; bytes above 127 (Latin-1, UTF-8) are parts of words.
 */
export interface TextScanner {
  readonly bytes: Uint8Array;
  /** Next byte to read. */
  at: number;
  /** First byte of the last word found, and the first byte after it. */
  wordStart: number;
  wordEnd: number;
}

const LF = 10;
const CR = 13;
const SPACE = 32;
const isLineEnd = (byte: number): boolean => byte === LF || byte === CR;

export function makeTextScanner(bytes: Uint8Array, start: number): TextScanner {
  return { bytes, at: start, wordStart: start, wordEnd: start };
}

/** Moves to the next word, over line ends. False at the end of the text. */
export function nextWord(scanner: TextScanner): boolean {
  const { bytes } = scanner;
  const end = bytes.length;
  let at = scanner.at;
  while (at < end && bytes[at]! <= SPACE) at++;
  return takeWord(scanner, at);
}

/** Moves to the next word on the same line. False at the end of the line, which is not passed. */
export function nextWordOnLine(scanner: TextScanner): boolean {
  const { bytes } = scanner;
  const end = bytes.length;
  let at = scanner.at;
  while (at < end && bytes[at]! <= SPACE && !isLineEnd(bytes[at]!)) at++;
  if (at < end && isLineEnd(bytes[at]!)) {
    scanner.at = at;
    return false;
  }
  return takeWord(scanner, at);
}

function takeWord(scanner: TextScanner, start: number): boolean {
  const { bytes } = scanner;
  const end = bytes.length;
  let at = start;
  while (at < end && bytes[at]! > SPACE) at++;
  scanner.wordStart = start;
  scanner.wordEnd = at;
  scanner.at = at;
  return at > start;
}

/** Moves to the end of the line, not past it. */
export function skipLine(scanner: TextScanner): void {
  const { bytes } = scanner;
  let at = scanner.at;
  while (at < bytes.length && !isLineEnd(bytes[at]!)) at++;
  scanner.at = at;
}

/** Whether the last word is `word` (lower-case ASCII letters), in upper or lower case. */
export function wordIs(scanner: TextScanner, word: string): boolean {
  const { bytes, wordStart } = scanner;
  if (scanner.wordEnd - wordStart !== word.length) return false;
  for (let i = 0; i < word.length; i++) {
    if ((bytes[wordStart + i]! | 32) !== word.charCodeAt(i)) return false;
  }
  return true;
}

/** The last word for a message: at most 40 characters, nothing unprintable. */
export function wordText(scanner: TextScanner): string {
  const { bytes, wordStart } = scanner;
  const end = Math.min(scanner.wordEnd, wordStart + 40);
  return latin1(bytes, wordStart, end).replace(/[^\x20-\x7e\xa0-\xff]/g, '?');
}

/** Bytes as Latin-1 text. */
export function latin1(bytes: Uint8Array, start: number, end: number): string {
  let text = '';
  for (let i = start; i < end; i++) text += String.fromCharCode(bytes[i]!);
  return text;
}

/** Number of the line that holds byte `offset`, from 1. Reads from the beginning: for messages only. */
export function lineNumber(bytes: Uint8Array, offset: number): number {
  let line = 1;
  for (let i = 0; i < offset; i++) {
    if (bytes[i] === LF || (bytes[i] === CR && bytes[i + 1] !== LF)) line++;
  }
  return line;
}

const POWERS_OF_TEN = Array.from({ length: 23 }, (_, i) => Number(`1e${i}`));
/** Below this a further decimal digit keeps the mantissa an exact integer of a double. */
const LAST_EXACT_MANTISSA = (2 ** 53 - 10) / 10;
const NOT_A_NUMBER_WORDS = /^[+-]?(nan([(_].*)?|inf|infinity|1\.#(qnan|snan|ind|inf)\d*)$/i;

/** What {@link wordNumber} says about a word that is no number at all. */
export const NO_NUMBER = Symbol('no number');

/**
 * The last word as a number, correctly rounded. Words for NaN and infinity, in the spellings of the usual run-time
 * libraries, give these; anything else that is not a decimal number gives {@link NO_NUMBER}.
 *
 * Short numbers take the exact fast path of Clinger (How to read floating point numbers accurately, 1990): integer
 * mantissa below 2^53 times or divided by a power of ten up to 10^22.
 */
export function wordNumber(scanner: TextScanner): number | typeof NO_NUMBER {
  const { bytes, wordStart, wordEnd } = scanner;
  let at = wordStart;
  let negative = false;
  if (bytes[at] === 45 || bytes[at] === 43) {
    negative = bytes[at] === 45;
    at++;
  }
  let mantissa = 0;
  let digits = 0;
  let exponent = 0;
  let exact = true;
  let inFraction = false;
  for (; at < wordEnd; at++) {
    const digit = bytes[at]! - 48;
    if (digit >= 0 && digit <= 9) {
      if (mantissa > LAST_EXACT_MANTISSA) exact = false;
      mantissa = mantissa * 10 + digit;
      digits++;
      if (inFraction) exponent--;
    } else if (digit === -2 && !inFraction) {
      inFraction = true;
    } else {
      break;
    }
  }
  if (digits === 0) return wordWithoutDigits(scanner);
  if (at < wordEnd) {
    if ((bytes[at]! | 32) !== 101) return wordWithoutDigits(scanner);
    at++;
    const negativeExponent = bytes[at] === 45;
    if (negativeExponent || bytes[at] === 43) at++;
    if (at >= wordEnd) return NO_NUMBER;
    let written = 0;
    for (; at < wordEnd; at++) {
      const digit = bytes[at]! - 48;
      if (digit < 0 || digit > 9) return NO_NUMBER;
      written = Math.min(written * 10 + digit, 99_999);
    }
    exponent += negativeExponent ? -written : written;
  }
  if (!exact || exponent > 22 || exponent < -22) return Number(latin1(bytes, wordStart, wordEnd));
  const value = exponent < 0 ? mantissa / POWERS_OF_TEN[-exponent]! : mantissa * POWERS_OF_TEN[exponent]!;
  return negative ? -value : value;
}

function wordWithoutDigits(scanner: TextScanner): number | typeof NO_NUMBER {
  const { bytes, wordStart, wordEnd } = scanner;
  const word = latin1(bytes, wordStart, wordEnd);
  if (!NOT_A_NUMBER_WORDS.test(word)) return NO_NUMBER;
  if (!/^[+-]?(inf|1\.#inf)/i.test(word)) return Number.NaN;
  return word.startsWith('-') ? Number.NEGATIVE_INFINITY : Number.POSITIVE_INFINITY;
}
