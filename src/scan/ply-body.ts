import { type ArchgapError, inputError } from '../geometry/archgap-error.ts';
import type { Steps } from '../geometry/steps.ts';
import { formatCount } from './format-count.ts';
import { BINARY_CHUNK } from './limits.ts';
import { type PlyElement, type PlyScalar, SCALAR_BYTES } from './ply-header.ts';
import { isPadding, plural } from './raw-mesh.ts';

/** The bytes of a binary PLY body, wherever they came from. */
export interface PlyBody {
  readonly view: DataView;
  readonly littleEndian: boolean;
}

/** Where an element's records lie in the body. */
export interface PlyPlace {
  readonly element: PlyElement;
  readonly start: number;
  readonly end: number;
  /** Bytes of every record, when all are equally long by declaration; null with lists. */
  readonly stride: number | null;
  /** Every record is one list of three whole numbers of 32 bits, after a count of one byte. */
  readonly isTriples: boolean;
}

/** Reads one value. */
export function readScalar(view: DataView, at: number, type: PlyScalar, littleEndian: boolean): number {
  switch (type) {
    case 'int8':
      return view.getInt8(at);
    case 'uint8':
      return view.getUint8(at);
    case 'int16':
      return view.getInt16(at, littleEndian);
    case 'uint16':
      return view.getUint16(at, littleEndian);
    case 'int32':
      return view.getInt32(at, littleEndian);
    case 'uint32':
      return view.getUint32(at, littleEndian);
    case 'float32':
      return view.getFloat32(at, littleEndian);
    case 'float64':
      return view.getFloat64(at, littleEndian);
  }
}

/** A record of {@link PlyPlace.isTriples}. */
export const TRIPLE_BYTES = 13;

/** Fewest bytes a record of the element can take: its lists empty. */
function leastRecordBytes(element: PlyElement): number {
  return element.properties.reduce((sum, { type, countType }) => sum + SCALAR_BYTES[countType ?? type], 0);
}

/** Offsets of one record's properties; for a list, of its count. */
type RecordOffsets = Float64Array;

/**
 * Walks over one record.
 *
 * @param offsets - filled, one per property
 * @returns the offset behind the record; -1 when the body ends before, -2 when a list has a negative count
 */
export function walkRecord(
  body: PlyBody,
  element: PlyElement,
  start: number,
  offsets: RecordOffsets,
): number {
  const { view, littleEndian } = body;
  const { properties } = element;
  const end = view.byteLength;
  let at = start;
  for (let p = 0; p < properties.length; p++) {
    const { type, countType } = properties[p]!;
    offsets[p] = at;
    if (countType === null) {
      at += SCALAR_BYTES[type];
    } else {
      const countBytes = SCALAR_BYTES[countType];
      if (at + countBytes > end) return -1;
      const count = readScalar(view, at, countType, littleEndian);
      if (count < 0) return -2;
      at += countBytes + count * SCALAR_BYTES[type];
    }
    if (at > end) return -1;
  }
  return at;
}

/**
 * Finds where every element lies and makes sure that the body holds all that the header promises, before anything
 * is allocated for it.
 *
 * @throws ArchgapError input `PLY_TRUNCATED`, `PLY_LIST_COUNT`, `PLY_COUNT_MISMATCH`
 */
export function* placeElements(
  body: PlyBody,
  elements: readonly PlyElement[],
): Steps<{ places: PlyPlace[]; trailing: number }> {
  const places: PlyPlace[] = [];
  let at = 0;
  for (const element of elements) {
    const least = leastRecordBytes(element);
    const room = body.view.byteLength - at;
    if (least > 0 && element.count > Math.floor(room / least)) {
      throw truncated(element, Math.floor(room / least), 'has room for at most');
    }
    const fixed = element.properties.every(({ countType }) => countType === null);
    const start = at;
    const isTriples = !fixed && holdsTriples(body, element, start);
    if (fixed) at = start + element.count * least;
    else if (isTriples) at = start + element.count * TRIPLE_BYTES;
    else at = yield* walkElement(body, element, start);
    places.push({ element, start, end: at, stride: fixed ? least : null, isTriples });
  }
  const trailing = body.view.byteLength - at;
  refuseMoreRecords(body, places.at(-1), trailing);
  return { places, trailing };
}

/** The faces of nearly every scan, told by their counts alone: a fiftieth of the time of walking over them. */
function holdsTriples({ view }: PlyBody, { properties, count }: PlyElement, start: number): boolean {
  const { type, countType } = properties[0]!;
  const isOfTriples =
    properties.length === 1 &&
    (countType === 'uint8' || countType === 'int8') &&
    (type === 'int32' || type === 'uint32');
  const end = start + count * TRIPLE_BYTES;
  if (!isOfTriples || end > view.byteLength) return false;
  for (let at = start; at < end; at += TRIPLE_BYTES) if (view.getUint8(at) !== 3) return false;
  return true;
}

function* walkElement(body: PlyBody, element: PlyElement, start: number): Steps<number> {
  const offsets = new Float64Array(element.properties.length);
  let at = start;
  for (let from = 0; from < element.count; from += BINARY_CHUNK) {
    const to = Math.min(from + BINARY_CHUNK, element.count);
    at = walkRecords(body, element, at, from, to, offsets);
    yield { fraction: to / element.count, stage: 'Checking the file' };
  }
  return at;
}

function walkRecords(
  body: PlyBody,
  element: PlyElement,
  start: number,
  from: number,
  to: number,
  offsets: RecordOffsets,
): number {
  let at = start;
  for (let record = from; record < to; record++) {
    const next = walkRecord(body, element, at, offsets);
    if (next === -1) throw truncated(element, record, 'holds');
    if (next === -2) {
      throw inputError(
        'PLY_LIST_COUNT',
        `The PLY file is damaged: ${element.name} ${formatCount(record)} (counted from 0) has a list of negative length. Export it again.`,
        { details: { element: element.name, record } },
      );
    }
    at = next;
  }
  return at;
}

function truncated(element: PlyElement, held: number, verb: string): ArchgapError {
  return inputError(
    'PLY_TRUNCATED',
    `The PLY file is cut short: its header promises ${plural(element.count, `${element.name} record`)}, the file ${verb} ${formatCount(held)}. Export or copy it again.`,
    { details: { element: element.name, promised: element.count, held } },
  );
}

/**
 * Bytes after the end that make up whole further records of the last element are not padding: the count is wrong,
 * and reading on as if nothing were amiss would leave surface out.
 */
function refuseMoreRecords(body: PlyBody, last: PlyPlace | undefined, trailing: number): void {
  if (last === undefined || trailing === 0 || last.element.properties.length === 0) return;
  const { element } = last;
  const { buffer, byteOffset, byteLength } = body.view;
  if (isPadding(new Uint8Array(buffer, byteOffset, byteLength), last.end)) return;
  const offsets = new Float64Array(element.properties.length);
  let at = last.end;
  let more = 0;
  while (at >= 0 && at < body.view.byteLength) {
    if (element.name === 'face' && !startsLikeFace(body, element, at)) return;
    at = walkRecord(body, element, at, offsets);
    more++;
  }
  // A few short records (say, one-byte ones) could be any padding.
  if (at < 0 || trailing < 8) return;
  throw inputError(
    'PLY_COUNT_MISMATCH',
    `The PLY header promises ${plural(element.count, `${element.name} record`)}, but the file holds ${formatCount(element.count + more)}; one of the two is wrong. Export it again.`,
    { details: { element: element.name, promised: element.count, held: element.count + more } },
  );
}

/** Padding with zeros would read as empty lists; a face that begins with its list has at least three corners. */
function startsLikeFace(body: PlyBody, element: PlyElement, at: number): boolean {
  const first = element.properties[0]!;
  if (first.countType === null) return true;
  if (at + SCALAR_BYTES[first.countType] > body.view.byteLength) return false;
  return readScalar(body.view, at, first.countType, body.littleEndian) >= 3;
}
