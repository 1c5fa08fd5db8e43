import { HOST_IS_LITTLE_ENDIAN } from '../geometry/point-table.ts';
import type { Steps } from '../geometry/steps.ts';
import { makePolygonScratch, triangulatePolygon } from '../geometry/triangulate-polygon.ts';
import { BINARY_CHUNK, LARGEST_POLYGON, TEXT_CHUNK } from './limits.ts';
import { type PlyBody, type PlyPlace, readScalar, walkRecord } from './ply-body.ts';
import { type PlyElement, type PlyScalar, SCALAR_BYTES } from './ply-header.ts';
import type { FaceSurvey, VertexShape } from './ply-shape.ts';

/** Vertices and faces as the file has them. */
export interface PlyMesh {
  readonly positions: Float32Array | Float64Array;
  readonly colors: Uint8Array | null;
  readonly triangles: Uint32Array;
  /** Polygons without area or that cross themselves. */
  readonly crossed: number;
}

/** Types whose every value is a 32-bit float. */
const FITS_FLOAT32: ReadonlySet<PlyScalar> = new Set<PlyScalar>([
  'int8',
  'uint8',
  'int16',
  'uint16',
  'float32',
]);

/**
 * The fixed-stride decoder: every dialect, every scalar type, any size.
 *
 * @param survey - from the walk that also checked the indices
 */
export function* decodePly(
  body: PlyBody,
  vertices: PlyPlace,
  shape: VertexShape,
  faces: PlyPlace,
  survey: FaceSurvey,
): Steps<PlyMesh> {
  const { count, properties } = vertices.element;
  const single = shape.xyz.every((p) => FITS_FLOAT32.has(properties[p]!.type));
  const positions = single ? new Float32Array(3 * count) : new Float64Array(3 * count);
  const areBytes = shape.rgb?.every((p) => properties[p]!.type === 'uint8') === true;
  const rawColors = shape.rgb === null ? null : new (areBytes ? Uint8Array : Float64Array)(3 * count);
  const columns = [...shape.xyz, ...(shape.rgb ?? [])];
  const targets: Column[] = columns.map((_, i) => (i < 3 ? positions : rawColors!));
  yield* readColumns(body, vertices, columns, targets);
  const colors =
    rawColors === null || rawColors instanceof Uint8Array
      ? rawColors
      : toBytes(rawColors, properties[shape.rgb![0]]!.type);
  if (survey.indices !== null) return { positions, colors, triangles: survey.indices, crossed: 0 };
  const { triangles, crossed } = yield* readFaces(body, faces, survey, positions);
  return { positions, colors, triangles, crossed };
}

type Column = Float32Array | Float64Array | Uint8Array;

/** Copies the named properties; column i goes to every third place of its target, from i modulo 3. */
function* readColumns(
  body: PlyBody,
  place: PlyPlace,
  columns: readonly number[],
  targets: readonly Column[],
): Steps<void> {
  const { element, stride } = place;
  const offsets = new Float64Array(element.properties.length);
  let at = place.start;
  for (let from = 0; from < element.count; from += BINARY_CHUNK) {
    const to = Math.min(from + BINARY_CHUNK, element.count);
    if (stride === null) {
      for (let record = from; record < to; record++) {
        at = walkRecord(body, element, at, offsets);
        for (let i = 0; i < columns.length; i++) {
          const p = columns[i]!;
          const { type } = element.properties[p]!;
          targets[i]![3 * record + (i % 3)] = readScalar(body.view, offsets[p]!, type, body.littleEndian);
        }
      }
    } else {
      walkRecord(body, element, place.start, offsets);
      const sideBySide = targets[0] instanceof Float32Array && arePoints(element, columns, offsets);
      if (sideBySide) copyPoints(body, offsets[columns[0]!]!, stride, targets[0] as Float32Array, from, to);
      for (let i = sideBySide ? 3 : 0; i < columns.length; i++) {
        const p = columns[i]!;
        copyColumn(body, offsets[p]!, stride, element.properties[p]!.type, targets[i]!, i % 3, from, to);
      }
    }
    yield { fraction: (0.5 * to) / element.count, stage: 'Reading vertices' };
  }
}

/** Whether the first three columns are 32-bit floats one after the other. */
function arePoints(element: PlyElement, columns: readonly number[], offsets: Float64Array): boolean {
  return [0, 1, 2].every(
    (k) =>
      element.properties[columns[k]!]!.type === 'float32' &&
      offsets[columns[k]!] === offsets[columns[0]!]! + 4 * k,
  );
}

/** Points of 12 bytes; where nothing lies between them, all bytes at once. */
function copyPoints(
  { view, littleEndian }: PlyBody,
  start: number,
  stride: number,
  target: Float32Array,
  from: number,
  to: number,
): void {
  if (stride === 12 && littleEndian === HOST_IS_LITTLE_ENDIAN) {
    const bytes = new Uint8Array(view.buffer, view.byteOffset + start + 12 * from, 12 * (to - from));
    new Uint8Array(target.buffer, target.byteOffset, target.byteLength).set(bytes, 12 * from);
    return;
  }
  for (let record = from, at = start + from * stride; record < to; record++, at += stride) {
    target[3 * record] = view.getFloat32(at, littleEndian);
    target[3 * record + 1] = view.getFloat32(at + 4, littleEndian);
    target[3 * record + 2] = view.getFloat32(at + 8, littleEndian);
  }
}

function copyColumn(
  body: PlyBody,
  start: number,
  stride: number,
  type: PlyScalar,
  target: Column,
  axis: number,
  from: number,
  to: number,
): void {
  const { view, littleEndian } = body;
  if (type === 'uint8') {
    for (let r = from; r < to; r++) target[3 * r + axis] = view.getUint8(start + r * stride);
  } else if (type === 'float32') {
    for (let r = from; r < to; r++) target[3 * r + axis] = view.getFloat32(start + r * stride, littleEndian);
  } else if (type === 'float64') {
    for (let r = from; r < to; r++) target[3 * r + axis] = view.getFloat64(start + r * stride, littleEndian);
  } else {
    for (let r = from; r < to; r++) {
      target[3 * r + axis] = readScalar(view, start + r * stride, type, littleEndian);
    }
  }
}

/**
 * Colours as bytes. Whole-number types keep their scale (16 bits are cut to 8); floats run from 0 to 1, unless one
 * of them is above 1: then from 0 to 255. A colour that is no number is black, an infinite one full.
 */
function toBytes(raw: Float64Array, type: PlyScalar): Uint8Array {
  let scale = 1;
  if (type === 'uint16') scale = 255 / 65535;
  if (type === 'float32' || type === 'float64') {
    let most = 0;
    for (let i = 0; i < raw.length; i++)
      if (raw[i]! > most && raw[i] !== Number.POSITIVE_INFINITY) most = raw[i]!;
    if (most <= 1) scale = 255;
  }
  const bytes = new Uint8ClampedArray(raw.length);
  for (let i = 0; i < raw.length; i++) bytes[i] = raw[i]! * scale;
  return new Uint8Array(bytes.buffer);
}

function* readFaces(
  body: PlyBody,
  place: PlyPlace,
  survey: FaceSurvey,
  positions: Float32Array | Float64Array,
): Steps<{ triangles: Uint32Array; crossed: number }> {
  const { element } = place;
  const property = element.properties[survey.corners]!;
  const countType = property.countType!;
  const countBytes = SCALAR_BYTES[countType];
  const step = SCALAR_BYTES[property.type];
  const { view, littleEndian } = body;

  const triangles = new Uint32Array(3 * survey.triangles);
  const offsets = new Float64Array(element.properties.length);
  const scratch = makePolygonScratch(LARGEST_POLYGON);
  const corner = new Uint32Array(LARGEST_POLYGON);
  const points = new Float64Array(3 * LARGEST_POLYGON);
  const cut = new Uint32Array(3 * LARGEST_POLYGON);
  let at = place.start;
  let out = 0;
  let crossed = 0;
  // Polygons take far longer than triangles, so pauses come oftener among them.
  const chunk = survey.polygons > 0 ? TEXT_CHUNK / 8 : BINARY_CHUNK;
  for (let face = 0; face < element.count; face++) {
    if (face % chunk === 0) yield { fraction: 0.5 + (0.5 * face) / element.count, stage: 'Reading faces' };
    at = walkRecord(body, element, at, offsets);
    const offset = offsets[survey.corners]!;
    const count = readScalar(view, offset, countType, littleEndian);
    if (count < 3) continue;
    for (let k = 0; k < count; k++) {
      corner[k] = readScalar(view, offset + countBytes + k * step, property.type, littleEndian);
    }
    if (count === 3) {
      triangles[out++] = corner[0]!;
      triangles[out++] = corner[1]!;
      triangles[out++] = corner[2]!;
      continue;
    }
    for (let k = 0; k < count; k++) {
      for (let axis = 0; axis < 3; axis++) points[3 * k + axis] = positions[3 * corner[k]! + axis]!;
    }
    if (!triangulatePolygon(points, count, scratch, cut)) crossed++;
    for (let i = 0; i < 3 * (count - 2); i++) triangles[out++] = corner[cut[i]!]!;
  }
  return { triangles, crossed };
}
