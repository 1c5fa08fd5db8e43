import { parseSync } from '@loaders.gl/core';
import { PLYLoader } from '@loaders.gl/ply';
import { ArchgapError } from '../geometry/archgap-error.ts';
import type { Steps } from '../geometry/steps.ts';
import { LOADERS_GL_LIMIT_BYTES, TEXT_CHUNK } from './limits.ts';
import { type PlyBody, type PlyPlace, readScalar } from './ply-body.ts';
import type { PlyMesh } from './ply-decode.ts';
import { type PlyScalar, SCALAR_BYTES } from './ply-header.ts';
import type { FaceSurvey, VertexShape } from './ply-shape.ts';

/** Records of each piece compared with the file's own bytes after loaders.gl has read them. */
const SAMPLES = 16;
const END_OF_HEADER = 'end_header';

/**
 * Whether loaders.gl 4.4 reads this body rightly: 32-bit coordinates (it cuts 64-bit ones), byte colours or none
 * (it truncates others), triangles only (it drops faces with five corners and more, and splits quads along a fixed
 * diagonal), no lists among the vertices, and no "end_header" within the data (it looks for the last one). Large
 * bodies are left to the fixed-stride decoder, which takes a tenth of the time (280,000 triangles: 16 against 200 ms).
 */
export function isPlain(
  body: PlyBody,
  vertices: PlyPlace,
  shape: VertexShape,
  faces: PlyPlace,
  survey: FaceSurvey,
): boolean {
  const { properties } = vertices.element;
  const size = vertices.end - vertices.start + faces.end - faces.start;
  return (
    size <= LOADERS_GL_LIMIT_BYTES &&
    survey.allTriangles &&
    vertices.stride !== null &&
    faces.element.properties.length === 1 &&
    shape.xyz.every((p) => properties[p]!.type === 'float32') &&
    (shape.rgb === null || shape.rgb.every((p) => properties[p]!.type === 'uint8')) &&
    !holdsText(body, vertices, END_OF_HEADER) &&
    !holdsText(body, faces, END_OF_HEADER)
  );
}

function holdsText(body: PlyBody, place: PlyPlace, text: string): boolean {
  const bytes = bytesOf(body, place.start, place.end);
  const last = bytes.length - text.length;
  for (let at = bytes.indexOf(text.charCodeAt(0)); at >= 0 && at <= last; ) {
    let k = 1;
    while (k < text.length && bytes[at + k] === text.charCodeAt(k)) k++;
    if (k === text.length) return true;
    at = bytes.indexOf(text.charCodeAt(0), at + 1);
  }
  return false;
}

function bytesOf(body: PlyBody, start: number, end: number): Uint8Array {
  const { buffer, byteOffset } = body.view;
  return new Uint8Array(buffer, byteOffset + start, end - start);
}

const rewrittenHeader = (littleEndian: boolean, lines: readonly string[]): Uint8Array =>
  new TextEncoder().encode(
    [
      'ply',
      `format ${littleEndian ? 'binary_little_endian' : 'binary_big_endian'} 1.0`,
      ...lines,
      'end_header\n',
    ].join('\n'),
  );

/** The parts of the loader's answer that are used. */
interface LoadedPly {
  readonly attributes: {
    readonly POSITION?: { readonly value: unknown };
    readonly COLOR_0?: { readonly value: unknown };
  };
  readonly indices?: { readonly value: unknown };
}

/** Has loaders.gl read records as a small file of their own: a header it counts rightly, then their bytes. */
function load(header: Uint8Array, records: Uint8Array): LoadedPly {
  const file = new Uint8Array(header.length + records.length);
  file.set(header);
  file.set(records, header.length);
  try {
    // Never the loader's own worker: it would fetch its script from an outside address.
    return parseSync(file.buffer, PLYLoader, { core: { worker: false } }) as LoadedPly;
  } catch (cause) {
    throw disagrees('data', cause);
  }
}

/**
 * Reads a plain body with loaders.gl, in pieces so that the work can pause, and makes sure of every piece: its
 * counts, and a sample of its records against the file's own bytes.
 *
 * @throws ArchgapError internal `PLY_DECODER_DISAGREES`
 */
export function* decodePlainPly(
  body: PlyBody,
  vertices: PlyPlace,
  shape: VertexShape,
  faces: PlyPlace,
): Steps<PlyMesh> {
  const vertexCount = vertices.element.count;
  const faceCount = faces.element.count;
  const mesh = {
    positions: new Float32Array(3 * vertexCount),
    colors: shape.rgb === null ? null : new Uint8Array(3 * vertexCount),
    triangles: new Uint32Array(3 * faceCount),
    crossed: 0,
  };
  for (let from = 0; from < vertexCount; from += TEXT_CHUNK) {
    const to = Math.min(from + TEXT_CHUNK, vertexCount);
    loadVertices(body, vertices, shape, from, to, mesh);
    yield { fraction: (0.5 * to) / vertexCount, stage: 'Reading vertices' };
  }
  for (let from = 0; from < faceCount; from += TEXT_CHUNK) {
    const to = Math.min(from + TEXT_CHUNK, faceCount);
    loadFaces(body, faces, from, to, mesh.triangles);
    yield { fraction: 0.5 + (0.5 * to) / faceCount, stage: 'Reading faces' };
  }
  return mesh;
}

function loadVertices(
  body: PlyBody,
  place: PlyPlace,
  { xyz, rgb }: VertexShape,
  from: number,
  to: number,
  mesh: { readonly positions: Float32Array; readonly colors: Uint8Array | null },
): void {
  const { properties } = place.element;
  const names = new Map<number, string>();
  for (const [k, p] of xyz.entries()) names.set(p, ['x', 'y', 'z'][k]!);
  for (const [k, p] of (rgb ?? []).entries()) names.set(p, ['red', 'green', 'blue'][k]!);
  const header = rewrittenHeader(body.littleEndian, [
    `element vertex ${to - from}`,
    ...properties.map(({ type }, p) => `property ${type} ${names.get(p) ?? `other_${p}`}`),
  ]);
  const { stride, start } = place;
  const loaded = load(header, bytesOf(body, start + from * stride!, start + to * stride!));
  const positions = loaded.attributes.POSITION?.value;
  if (!(positions instanceof Float32Array) || positions.length !== 3 * (to - from))
    throw disagrees('vertices');
  const offsets = propertyOffsets(properties.map(({ type }) => type));
  const sameBytes = (column: number, record: number, value: number): boolean => {
    const at = start + (from + record) * stride! + offsets[column]!;
    return Object.is(readScalar(body.view, at, properties[column]!.type, body.littleEndian), value);
  };
  for (const record of sampleOf(to - from)) {
    if (xyz.some((p, k) => !sameBytes(p, record, positions[3 * record + k]!))) throw disagrees('vertices');
  }
  mesh.positions.set(positions, 3 * from);
  if (rgb === null || mesh.colors === null) return;
  const colors = loaded.attributes.COLOR_0?.value;
  if (!(colors instanceof Uint8Array) || colors.length !== 3 * (to - from)) throw disagrees('colours');
  for (const record of sampleOf(to - from)) {
    if (rgb.some((p, k) => !sameBytes(p, record, colors[3 * record + k]!))) throw disagrees('colours');
  }
  mesh.colors.set(colors, 3 * from);
}

function loadFaces(body: PlyBody, place: PlyPlace, from: number, to: number, triangles: Uint32Array): void {
  const { type, countType } = place.element.properties[0]!;
  const countBytes = SCALAR_BYTES[countType!];
  const step = SCALAR_BYTES[type];
  const stride = countBytes + 3 * step;
  const header = rewrittenHeader(body.littleEndian, [
    `element face ${to - from}`,
    `property list ${countType} ${type} vertex_indices`,
  ]);
  const first = place.start + from * stride;
  const indices = load(header, bytesOf(body, first, place.start + to * stride)).indices?.value;
  if (!(indices instanceof Uint32Array) || indices.length !== 3 * (to - from)) throw disagrees('faces');
  for (const face of sampleOf(to - from)) {
    for (let k = 0; k < 3; k++) {
      const at = first + face * stride + countBytes + k * step;
      if (readScalar(body.view, at, type, body.littleEndian) !== indices[3 * face + k])
        throw disagrees('faces');
    }
  }
  triangles.set(indices, 3 * from);
}

/** Numbers spread evenly over 0 to count - 1, the first and the last among them. */
function sampleOf(count: number): number[] {
  const size = Math.min(SAMPLES, count);
  return Array.from({ length: size }, (_, i) => Math.floor((i * (count - 1)) / Math.max(1, size - 1)));
}

function propertyOffsets(types: readonly PlyScalar[]): number[] {
  let at = 0;
  return types.map((type) => {
    const offset = at;
    at += SCALAR_BYTES[type];
    return offset;
  });
}

function disagrees(what: string, cause?: unknown): ArchgapError {
  return new ArchgapError(
    'internal',
    'PLY_DECODER_DISAGREES',
    `The ${what} read from the PLY file differ from the bytes it holds; nothing was read. Report this file.`,
    cause === undefined ? {} : { cause },
  );
}
