import { type ArchgapError, inputError } from '../geometry/archgap-error.ts';
import type { Steps } from '../geometry/steps.ts';
import { formatCount } from './format-count.ts';
import { TEXT_CHUNK } from './limits.ts';
import type { PlyBody } from './ply-body.ts';
import { type PlyElement, type PlyHeader, type PlyScalar, SCALAR_BYTES } from './ply-header.ts';
import { plural } from './raw-mesh.ts';
import {
  lineNumber,
  makeTextScanner,
  NO_NUMBER,
  nextWord,
  nextWordOnLine,
  type TextScanner,
  wordNumber,
  wordText,
} from './text-scanner.ts';

const INTEGER_RANGES: Readonly<Partial<Record<PlyScalar, readonly [number, number]>>> = {
  int8: [-(2 ** 7), 2 ** 7 - 1],
  uint8: [0, 2 ** 8 - 1],
  int16: [-(2 ** 15), 2 ** 15 - 1],
  uint16: [0, 2 ** 16 - 1],
  int32: [-(2 ** 31), 2 ** 31 - 1],
  uint32: [0, 2 ** 32 - 1],
};

interface Writer {
  bytes: Uint8Array<ArrayBuffer>;
  view: DataView;
  length: number;
}

function writeScalar(writer: Writer, type: PlyScalar, value: number): void {
  if (writer.length + 8 > writer.bytes.length) {
    const larger = new Uint8Array(writer.bytes.length * 2);
    larger.set(writer.bytes);
    writer.bytes = larger;
    writer.view = new DataView(larger.buffer);
  }
  const { view, length } = writer;
  switch (type) {
    case 'int8':
      view.setInt8(length, value);
      break;
    case 'uint8':
      view.setUint8(length, value);
      break;
    case 'int16':
      view.setInt16(length, value, true);
      break;
    case 'uint16':
      view.setUint16(length, value, true);
      break;
    case 'int32':
      view.setInt32(length, value, true);
      break;
    case 'uint32':
      view.setUint32(length, value, true);
      break;
    case 'float32':
      view.setFloat32(length, value, true);
      break;
    case 'float64':
      view.setFloat64(length, value, true);
      break;
  }
  writer.length = length + SCALAR_BYTES[type];
}

/**
 * Turns the text body of an ASCII PLY into the binary body that says the same, every word checked against its
 * declared type: one path for text and binary from here on. A record may run over several lines, but each begins
 * on a line of its own and ends at the end of a line, which is how a missing or an extra value is noticed.
 *
 * @throws ArchgapError input `PLY_TRUNCATED`, `PLY_NUMBER`, `PLY_VALUE_OUT_OF_RANGE`, `PLY_LINE`, `PLY_LIST_COUNT`,
 *   `PLY_COUNT_MISMATCH`; each with the line
 */
export function* plyTextToBinary(bytes: Uint8Array, header: PlyHeader): Steps<PlyBody> {
  const scanner = makeTextScanner(bytes, header.bodyStart);
  const room = bytes.length - header.bodyStart;
  const buffer = new Uint8Array(Math.max(64, room));
  const writer: Writer = { bytes: buffer, view: new DataView(buffer.buffer), length: 0 };
  for (const element of header.elements) {
    if (element.properties.length === 0) continue;
    for (let from = 0; from < element.count; from += TEXT_CHUNK) {
      readRecords(scanner, writer, element, from, Math.min(from + TEXT_CHUNK, element.count));
      yield { fraction: (scanner.at - header.bodyStart) / room, stage: 'Reading the text' };
    }
  }
  if (nextWord(scanner)) {
    const line = lineNumber(bytes, scanner.wordStart);
    throw inputError(
      'PLY_COUNT_MISMATCH',
      `The PLY text goes on with "${wordText(scanner)}" on line ${line}, after all that its header promises; one of the two is wrong. Export it again.`,
      { details: { line } },
    );
  }
  return { view: new DataView(writer.bytes.buffer, 0, writer.length), littleEndian: true };
}

function readRecords(
  scanner: TextScanner,
  writer: Writer,
  element: PlyElement,
  from: number,
  to: number,
): void {
  for (let record = from; record < to; record++) {
    for (const property of element.properties) {
      if (property.countType === null) {
        writeScalar(writer, property.type, readValue(scanner, element, record, property.type));
        continue;
      }
      const count = readValue(scanner, element, record, property.countType);
      if (count < 0) throw problem(scanner, 'PLY_LIST_COUNT', 'a list of negative length');
      writeScalar(writer, property.countType, count);
      for (let i = 0; i < count; i++) {
        writeScalar(writer, property.type, readValue(scanner, element, record, property.type));
      }
    }
    if (nextWordOnLine(scanner)) {
      throw problem(scanner, 'PLY_LINE', `"${wordText(scanner)}" after the end of ${element.name} ${record}`);
    }
  }
}

function readValue(scanner: TextScanner, element: PlyElement, record: number, type: PlyScalar): number {
  if (!nextWord(scanner)) {
    throw inputError(
      'PLY_TRUNCATED',
      `The PLY text is cut short: its header promises ${plural(element.count, `${element.name} record`)}, the file holds ${formatCount(record)}. Export or copy it again.`,
      { details: { element: element.name, promised: element.count, held: record } },
    );
  }
  const value = wordNumber(scanner);
  if (value === NO_NUMBER)
    throw problem(scanner, 'PLY_NUMBER', `"${wordText(scanner)}" where a number belongs`);
  const range = INTEGER_RANGES[type];
  if (range !== undefined && !(Number.isInteger(value) && value >= range[0] && value <= range[1])) {
    const found = `${wordText(scanner)}, which is no ${type} value (${range[0]} to ${range[1]})`;
    throw problem(scanner, 'PLY_VALUE_OUT_OF_RANGE', found);
  }
  return value;
}

function problem(scanner: TextScanner, code: string, found: string): ArchgapError {
  const line = lineNumber(scanner.bytes, scanner.wordStart);
  return inputError(code, `The PLY text is damaged on line ${line}: found ${found}. Export it again.`, {
    details: { line },
  });
}
