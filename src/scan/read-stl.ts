import { type ArchgapError, inputError } from '../geometry/archgap-error.ts';
import { distinctPoints, makePointTable, numberPoints, type PointRecords } from '../geometry/point-table.ts';
import type { Steps } from '../geometry/steps.ts';
import { VERTICES_PER_TRIANGLE } from '../geometry/weld.ts';
import { afterByteOrderMark, STL_HEADER_BYTES, STL_TRIANGLE_BYTES } from './detect-format.ts';
import { type FileBytes, stretchOf } from './file-bytes.ts';
import { formatCount } from './format-count.ts';
import { BINARY_CHUNK, TEXT_CHUNK } from './limits.ts';
import { isPadding, plural, type RawMesh, refuseHugeCount, trailingBytes } from './raw-mesh.ts';
import {
  latin1,
  lineNumber,
  makeTextScanner,
  NO_NUMBER,
  nextWord,
  nextWordOnLine,
  skipLine,
  type TextScanner,
  wordIs,
  wordNumber,
  wordText,
} from './text-scanner.ts';
import type { HealthFinding } from './types.ts';

const STAGE = 'Reading triangles';
const NORMAL_BYTES = 12;
/** Triangles read between two pauses. */
const CHUNK = BINARY_CHUNK / 4;
/** Triangles of one stretch of a file: 200 kB, which stay in the cache between reading and joining. */
const STRETCH = CHUNK / 16;

/**
 * Reads a binary STL: 80 bytes of text, a little-endian 32-bit count, then for each triangle twelve 32-bit floats
 * (normal, three corners) and two attribute bytes. Normals and attributes are left aside; corners at equal places are
 * joined on the way, so that the loose triangles never lie in memory a second time. Layout: 3D Systems,
 * StereoLithography Interface Specification, 1989 (by its usual descriptions).
 *
 * @throws ArchgapError input `STL_TRUNCATED`, `STL_COUNT_MISMATCH`, `NO_TRIANGLES`, `TOO_MANY_TRIANGLES`
 */
export function* readBinaryStl(file: FileBytes): Steps<RawMesh> {
  const header = stretchOf(file, 0, STL_HEADER_BYTES).slice();
  const count = new DataView(header.buffer).getUint32(80, true);
  const held = Math.floor((file.length - STL_HEADER_BYTES) / STL_TRIANGLE_BYTES);
  if (held < count) {
    throw inputError(
      'STL_TRUNCATED',
      `The STL file is cut short: its header promises ${plural(count, 'triangle')}, the file holds ${formatCount(held)}. Export or copy it again.`,
      { details: { promised: count, held } },
    );
  }
  const rest = file.length - STL_HEADER_BYTES - STL_TRIANGLE_BYTES * count;
  if (rest > 0 && rest % STL_TRIANGLE_BYTES === 0 && !isPadding(file, file.length - rest)) {
    throw inputError(
      'STL_COUNT_MISMATCH',
      `The STL header promises ${plural(count, 'triangle')}, but the file holds ${formatCount(held)}; one of the two is wrong. Export it again.`,
      { details: { promised: count, held } },
    );
  }
  if (count === 0) throw noTriangles('The STL file holds no triangles.');
  refuseHugeCount(count, 'triangle');

  const points = makePointTable(count * VERTICES_PER_TRIANGLE);
  const triangles = new Uint32Array(3 * count);
  for (let from = 0; from < count; from += STRETCH) {
    const to = Math.min(from + STRETCH, count);
    numberPoints(points, cornersOf(file, from, to), triangles, from, to);
    if (from % CHUNK === 0) yield { fraction: from / count, stage: STAGE };
  }
  return {
    format: 'stl-binary',
    positions: distinctPoints(points),
    triangles,
    firstCorner: points.first.subarray(0, points.count),
    colors: null,
    headerText: latin1(header, 0, 80),
    findings: rest > 0 ? [trailingBytes(rest)] : [],
  };
}

/** The corners of some of the triangles of a binary STL. */
function cornersOf(file: FileBytes, from: number, to: number): PointRecords {
  const offset = STL_HEADER_BYTES + STL_TRIANGLE_BYTES * from;
  const { buffer, byteOffset, byteLength } = stretchOf(
    file,
    offset,
    offset + STL_TRIANGLE_BYTES * (to - from),
  );
  return {
    view: new DataView(buffer, byteOffset, byteLength),
    littleEndian: true,
    // Where the first triangle of the file would stand.
    start: NORMAL_BYTES - STL_TRIANGLE_BYTES * from,
    recordBytes: STL_TRIANGLE_BYTES,
    perRecord: 3,
  };
}

function noTriangles(found: string): ArchgapError {
  return inputError('NO_TRIANGLES', `${found} Export the scan as a surface and open that.`);
}

interface AsciiStl {
  readonly scanner: TextScanner;
  corners: Float64Array;
  count: number;
  solids: number;
  insideSolid: boolean;
  readonly findings: HealthFinding[];
  headerText: string;
}

/**
 * Reads an ASCII STL, word by word, in upper or lower case, with all line ends and any number of solids, names that hold keywords.
 * Coordinates are kept in 64 bits, since text can carry more than 32.
 *
 * @throws ArchgapError input `STL_TRUNCATED`, `STL_SYNTAX`, `STL_NUMBER`, `STL_FACET_NOT_TRIANGLE`, `NO_TRIANGLES`,
 *   `TOO_MANY_TRIANGLES`; each with the line
 */
export function* readAsciiStl(bytes: Uint8Array): Steps<RawMesh> {
  const scanner = makeTextScanner(bytes, afterByteOrderMark(bytes));
  // A facet takes about 250 bytes as usually written; the array doubles when it is less.
  const expected = Math.ceil(bytes.length / 200) + 1;
  const stl: AsciiStl = {
    scanner,
    corners: new Float64Array(9 * expected),
    count: 0,
    solids: 0,
    insideSolid: false,
    findings: [],
    headerText: '',
  };
  while (readFacets(stl, TEXT_CHUNK)) {
    refuseHugeCount(stl.count, 'triangle');
    yield { fraction: scanner.at / bytes.length, stage: STAGE };
  }
  if (stl.count === 0) throw noTriangles('The STL file holds no facets.');
  if (stl.insideSolid) {
    stl.findings.push({
      code: 'STL_ENDSOLID_MISSING',
      severity: 'warning',
      sentence: `The STL text ends without "endsolid" after ${plural(stl.count, 'whole facet')}; facets may be missing at its end.`,
      count: null,
    });
  }
  return {
    format: 'stl-ascii',
    positions: stl.corners.slice(0, 9 * stl.count),
    triangles: null,
    colors: null,
    headerText: stl.headerText,
    findings: stl.findings,
  };
}

/** Reads up to `limit` facets; false when the text has ended. */
function readFacets(stl: AsciiStl, limit: number): boolean {
  const { scanner } = stl;
  for (let i = 0; i < limit; ) {
    if (!nextWord(scanner)) return false;
    if (wordIs(scanner, 'facet') && stl.insideSolid) {
      readFacet(stl);
      i++;
    } else if (wordIs(scanner, 'endsolid') && stl.insideSolid) {
      skipLine(scanner);
      stl.insideSolid = false;
    } else if (wordIs(scanner, 'solid') && !stl.insideSolid) {
      const start = scanner.at;
      skipName(scanner);
      if (stl.solids === 0) stl.headerText = latin1(scanner.bytes, start, Math.min(scanner.at, start + 200));
      stl.solids++;
      stl.insideSolid = true;
    } else if (!stl.insideSolid) {
      return endOfText(stl);
    } else {
      throw unexpected(stl, '"facet" or "endsolid"');
    }
  }
  return true;
}

/** After "endsolid" something else came: harmless bytes are reported, more facets are a broken file. */
function endOfText(stl: AsciiStl): boolean {
  const { scanner } = stl;
  const rest = scanner.bytes.length - scanner.wordStart;
  const sample = latin1(
    scanner.bytes,
    scanner.wordStart,
    Math.min(scanner.bytes.length, scanner.wordStart + 4096),
  );
  if (/(^|\s)(facet|vertex)\s/i.test(sample)) throw syntax(scanner, '"solid" or the end of the file');
  stl.findings.push(trailingBytes(rest));
  return false;
}

/** The name is the rest of the line; in a file written as one long line it ends where "facet normal" begins. */
function skipName(scanner: TextScanner): void {
  for (;;) {
    const before = scanner.at;
    if (!nextWordOnLine(scanner)) return;
    if (!wordIs(scanner, 'facet')) continue;
    const afterFacet = scanner.at;
    const isFacet = nextWordOnLine(scanner) && wordIs(scanner, 'normal') && nextWordOnLine(scanner);
    if (isFacet && wordNumber(scanner) !== NO_NUMBER) {
      scanner.at = before;
      return;
    }
    scanner.at = afterFacet;
  }
}

function readFacet(stl: AsciiStl): void {
  const { scanner } = stl;
  if (9 * (stl.count + 1) > stl.corners.length) {
    const larger = new Float64Array(stl.corners.length * 2);
    larger.set(stl.corners);
    stl.corners = larger;
  }
  // The normal is left aside, whatever it says ("nan" is common for slivers); a missing one does no harm.
  word(stl);
  for (let i = 0; i < 4 && !wordIs(scanner, 'outer'); i++) word(stl);
  expectWord(stl, 'outer');
  word(stl);
  expectWord(stl, 'loop');
  const out = 9 * stl.count;
  for (let corner = 0; corner < 3; corner++) {
    word(stl);
    if (corner > 0 && wordIs(scanner, 'endloop')) throw notTriangle(scanner, `only ${corner}`);
    expectWord(stl, 'vertex');
    for (let k = 0; k < 3; k++) {
      word(stl);
      const value = wordNumber(scanner);
      if (value === NO_NUMBER) throw notANumber(scanner);
      stl.corners[out + 3 * corner + k] = value;
    }
  }
  word(stl);
  if (wordIs(scanner, 'vertex')) throw notTriangle(scanner, 'more than three');
  expectWord(stl, 'endloop');
  word(stl);
  expectWord(stl, 'endfacet');
  stl.count++;
}

function word(stl: AsciiStl): void {
  if (!nextWord(stl.scanner)) throw cutShort(stl);
}

function cutShort(stl: AsciiStl): ArchgapError {
  const { bytes } = stl.scanner;
  const line = lineNumber(bytes, bytes.length);
  return inputError(
    'STL_TRUNCATED',
    `The STL text is cut short: it ends on line ${line} inside a facet, after ${plural(stl.count, 'whole one')}. Export or copy it again.`,
    { details: { line, held: stl.count } },
  );
}

function expectWord(stl: AsciiStl, expected: string): void {
  if (!wordIs(stl.scanner, expected)) throw unexpected(stl, `"${expected}"`);
}

/** A wrong word; when it is the last of the file, only its beginning may have survived. */
function unexpected(stl: AsciiStl, expected: string): ArchgapError {
  return stl.scanner.wordEnd === stl.scanner.bytes.length ? cutShort(stl) : syntax(stl.scanner, expected);
}

function syntax(scanner: TextScanner, expected: string): ArchgapError {
  const line = lineNumber(scanner.bytes, scanner.wordStart);
  return inputError(
    'STL_SYNTAX',
    `The STL text is damaged on line ${line}: found "${wordText(scanner)}" where ${expected} belongs. Export it again.`,
    { details: { line } },
  );
}

function notTriangle(scanner: TextScanner, corners: string): ArchgapError {
  const line = lineNumber(scanner.bytes, scanner.wordStart);
  return inputError(
    'STL_FACET_NOT_TRIANGLE',
    `A facet of the STL text has ${corners} corners (line ${line}); STL facets are triangles. Export it again.`,
    { details: { line } },
  );
}

function notANumber(scanner: TextScanner): ArchgapError {
  const line = lineNumber(scanner.bytes, scanner.wordStart);
  return inputError(
    'STL_NUMBER',
    `The STL text holds "${wordText(scanner)}" on line ${line} where a coordinate belongs. Export it again.`,
    { details: { line } },
  );
}
