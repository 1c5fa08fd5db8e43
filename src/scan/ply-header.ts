import { type ArchgapError, inputError } from '../geometry/archgap-error.ts';
import { afterByteOrderMark } from './detect-format.ts';
import { LONGEST_PLY_HEADER } from './limits.ts';
import { latin1 } from './text-scanner.ts';

export type PlyScalar = 'int8' | 'uint8' | 'int16' | 'uint16' | 'int32' | 'uint32' | 'float32' | 'float64';

export interface PlyProperty {
  /** Lower case. */
  readonly name: string;
  /** Type of the value, or of each item of a list. */
  readonly type: PlyScalar;
  /** Type of the item count that goes before a list; null for a single value. */
  readonly countType: PlyScalar | null;
}

export interface PlyElement {
  /** Lower case. */
  readonly name: string;
  readonly count: number;
  readonly properties: readonly PlyProperty[];
}

export interface PlyHeader {
  readonly encoding: 'ascii' | 'binary_little_endian' | 'binary_big_endian';
  readonly elements: readonly PlyElement[];
  /** Comments and object information, one per line. */
  readonly text: string;
  /** Offset of the first byte of the body. */
  readonly bodyStart: number;
}

export const SCALAR_BYTES: Readonly<Record<PlyScalar, number>> = {
  int8: 1,
  uint8: 1,
  int16: 2,
  uint16: 2,
  int32: 4,
  uint32: 4,
  float32: 4,
  float64: 8,
};

const SCALAR_NAMES: ReadonlyMap<string, PlyScalar> = new Map([
  ['char', 'int8'],
  ['uchar', 'uint8'],
  ['short', 'int16'],
  ['ushort', 'uint16'],
  ['int', 'int32'],
  ['uint', 'uint32'],
  ['float', 'float32'],
  ['double', 'float64'],
  ...(Object.keys(SCALAR_BYTES) as PlyScalar[]).map((name) => [name, name] as const),
]);

const ENCODINGS = ['ascii', 'binary_little_endian', 'binary_big_endian'] as const;

interface HeaderLine {
  readonly text: string;
  readonly number: number;
}

/**
 * Splits the header off the body, counting bytes: comments may be in any encoding. How lines end is decided by the
 * first line, so that after a bare CR a body that begins with the byte 10 is not mistaken for the second half of CRLF.
 */
function splitHeader(bytes: Uint8Array): { lines: HeaderLine[]; bodyStart: number } {
  const start = afterByteOrderMark(bytes);
  const limit = Math.min(bytes.length, start + LONGEST_PLY_HEADER);
  let firstEnd = start;
  while (firstEnd < limit && bytes[firstEnd] !== 10 && bytes[firstEnd] !== 13) firstEnd++;
  const bareCr = bytes[firstEnd] === 13 && bytes[firstEnd + 1] !== 10;
  const terminator = bareCr ? 13 : 10;
  const lines: HeaderLine[] = [];
  for (let at = start; at < limit; ) {
    let end = at;
    while (end < limit && bytes[end] !== terminator) end++;
    const text = latin1(bytes, at, end).trim();
    lines.push({ text, number: lines.length + 1 });
    if (/^end_header$/i.test(text)) return { lines, bodyStart: Math.min(end + 1, bytes.length) };
    at = end + 1;
  }
  throw inputError(
    'PLY_HEADER_UNFINISHED',
    'The PLY header has no "end_header" line: the file is cut short or damaged. Export or copy it again.',
  );
}

/** A property while its element is still being read. */
interface OpenElement {
  readonly name: string;
  readonly count: number;
  readonly properties: PlyProperty[];
}

/**
 * Reads the header of a PLY file (Turk, The PLY polygon file format, 1994): LF, CRLF or CR, a byte order mark,
 * comments in any encoding, names in any case, old and new type names.
 *
 * @throws ArchgapError input `PLY_HEADER` (details.line), `PLY_HEADER_UNFINISHED`
 */
export function readPlyHeader(bytes: Uint8Array): PlyHeader {
  const { lines, bodyStart } = splitHeader(bytes);
  let encoding: PlyHeader['encoding'] | null = null;
  const elements: OpenElement[] = [];
  const text: string[] = [];
  for (const line of lines.slice(1, -1)) {
    const words = line.text.split(/\s+/);
    const keyword = words[0]!.toLowerCase();
    if (keyword === 'comment' || keyword === 'obj_info') text.push(words.slice(1).join(' '));
    else if (keyword === 'format') encoding = readFormat(words, line, encoding);
    else if (keyword === 'element') elements.push(readElement(words, line, elements));
    else if (keyword === 'property') addProperty(words, line, elements.at(-1));
    else if (keyword !== '') {
      throw headerError(line, 'where format, element, property, comment or end_header belongs');
    }
  }
  refuseSecondHeader(bytes, bodyStart);
  if (encoding === null) {
    throw inputError('PLY_HEADER', 'The PLY header has no "format" line. Export the scan again.');
  }
  return { encoding, elements, text: text.join('\n'), bodyStart };
}

/** Two headers in a row: the data would be read from the wrong place. */
function refuseSecondHeader(bytes: Uint8Array, bodyStart: number): void {
  const begin = latin1(bytes, bodyStart, Math.min(bytes.length, bodyStart + 64));
  if (!/^ply\s+(format|comment|obj_info|element)\s/i.test(begin)) return;
  throw inputError('PLY_HEADER', 'The PLY file has two headers, one after the other. Export the scan again.');
}

function readFormat(
  words: readonly string[],
  line: HeaderLine,
  before: PlyHeader['encoding'] | null,
): PlyHeader['encoding'] {
  if (before !== null) throw headerError(line, 'a second time');
  const found = ENCODINGS.find((name) => name === words[1]?.toLowerCase());
  if (found === undefined || words[2] !== '1.0') {
    throw headerError(
      line,
      'where one of the formats ascii, binary_little_endian, binary_big_endian 1.0 belongs',
    );
  }
  return found;
}

function readElement(
  words: readonly string[],
  line: HeaderLine,
  before: readonly OpenElement[],
): OpenElement {
  const name = words[1]?.toLowerCase() ?? '';
  if (words.length !== 3 || !/^\d+$/.test(words[2]!)) {
    throw headerError(line, 'where "element NAME COUNT" with a whole count belongs');
  }
  if (before.some((element) => element.name === name)) throw headerError(line, 'a second time');
  return { name, count: Number(words[2]), properties: [] };
}

function addProperty(words: readonly string[], line: HeaderLine, element: OpenElement | undefined): void {
  if (element === undefined) throw headerError(line, 'before any element');
  const isList = words[1]?.toLowerCase() === 'list';
  const type = SCALAR_NAMES.get(words[isList ? 3 : 1]?.toLowerCase() ?? '');
  const countType = isList ? SCALAR_NAMES.get(words[2]?.toLowerCase() ?? '') : null;
  if (type === undefined || countType === undefined || words.length !== (isList ? 5 : 3)) {
    throw headerError(line, 'where "property TYPE NAME" or "property list TYPE TYPE NAME" belongs');
  }
  if (countType === 'float32' || countType === 'float64') {
    throw headerError(line, 'but the count of a list must be of a whole type');
  }
  const name = words[isList ? 4 : 2]!.toLowerCase();
  if (element.properties.some((property) => property.name === name)) throw headerError(line, 'a second time');
  element.properties.push({ name, type, countType });
}

function headerError(line: HeaderLine, complaint: string): ArchgapError {
  const shown = line.text.slice(0, 60).replace(/[^\x20-\x7e\xa0-\xff]/g, '?');
  return inputError(
    'PLY_HEADER',
    `The PLY header says "${shown}" on line ${line.number} ${complaint}. Export the scan again.`,
    { details: { line: line.number } },
  );
}
