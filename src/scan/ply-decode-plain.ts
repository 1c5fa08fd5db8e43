import { parseSync } from '@loaders.gl/core';
import { PLYLoader } from '@loaders.gl/ply';
import { ArchgapError } from '../geometry/archgap-error.ts';
import { LOADERS_GL_LIMIT_BYTES } from './limits.ts';
import { type PlyBody, type PlyPlace, readScalar } from './ply-body.ts';
import type { PlyMesh } from './ply-decode.ts';
import type { PlyProperty } from './ply-header.ts';
import type { FaceSurvey, VertexShape } from './ply-shape.ts';

/** Records compared with the file's own bytes after loaders.gl has read them. */
const SAMPLES = 64;
const END_OF_HEADER = 'end_header';

/**
 * Whether loaders.gl 4.4 reads this body rightly: 32-bit coordinates (it cuts 64-bit ones), byte colours or none
 * (it truncates others), triangles only (it drops faces with five corners and more, and splits quads along a fixed
 * diagonal), no lists among the vertices, and no "end_header" within the data (it looks for the last one). Large
 * bodies are left to the fixed-stride decoder: loaders.gl decodes all bytes as text first and cannot be paused.
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
  const bytes = bytesOf(body, place);
  const last = bytes.length - text.length;
  for (let at = bytes.indexOf(text.charCodeAt(0)); at >= 0 && at <= last; ) {
    let k = 1;
    while (k < text.length && bytes[at + k] === text.charCodeAt(k)) k++;
    if (k === text.length) return true;
    at = bytes.indexOf(text.charCodeAt(0), at + 1);
  }
  return false;
}

function bytesOf(body: PlyBody, place: PlyPlace): Uint8Array {
  const { buffer, byteOffset } = body.view;
  return new Uint8Array(buffer, byteOffset + place.start, place.end - place.start);
}

/** A PLY file with the same vertices and faces and a header that loaders.gl counts rightly: ASCII, LF, known names. */
function plainFile(body: PlyBody, vertices: PlyPlace, shape: VertexShape, faces: PlyPlace): ArrayBuffer {
  const names = new Map<number, string>();
  shape.xyz.forEach((p, k) => {
    names.set(p, ['x', 'y', 'z'][k]!);
  });
  shape.rgb?.forEach((p, k) => {
    names.set(p, ['red', 'green', 'blue'][k]!);
  });
  const list = faces.element.properties[0] as PlyProperty;
  const header = [
    'ply',
    `format ${body.littleEndian ? 'binary_little_endian' : 'binary_big_endian'} 1.0`,
    `element vertex ${vertices.element.count}`,
    ...vertices.element.properties.map(({ type }, p) => `property ${type} ${names.get(p) ?? `other_${p}`}`),
    `element face ${faces.element.count}`,
    `property list ${list.countType} ${list.type} vertex_indices`,
    'end_header\n',
  ].join('\n');
  const head = new TextEncoder().encode(header);
  const vertexBytes = bytesOf(body, vertices);
  const faceBytes = bytesOf(body, faces);
  const file = new Uint8Array(head.length + vertexBytes.length + faceBytes.length);
  file.set(head);
  file.set(vertexBytes, head.length);
  file.set(faceBytes, head.length + vertexBytes.length);
  return file.buffer;
}

/** The parts of the loader's answer that are used. */
interface LoadedPly {
  readonly attributes: {
    readonly POSITION?: { readonly value: unknown };
    readonly COLOR_0?: { readonly value: unknown };
  };
  readonly indices?: { readonly value: unknown };
}

/**
 * Reads a plain body with loaders.gl and makes sure of the answer: counts, and a sample of records against the
 * file's own bytes.
 *
 * @throws ArchgapError internal `PLY_DECODER_DISAGREES`
 */
export function decodePlainPly(
  body: PlyBody,
  vertices: PlyPlace,
  shape: VertexShape,
  faces: PlyPlace,
  survey: FaceSurvey,
): PlyMesh {
  // Never the loader's own worker: it would fetch its script from an outside address.
  const options = { core: { worker: false } };
  const loaded = parseSync(plainFile(body, vertices, shape, faces), PLYLoader, options) as LoadedPly;
  const positions = loaded.attributes.POSITION?.value;
  const triangles = loaded.indices?.value;
  const colors = shape.rgb === null ? null : loaded.attributes.COLOR_0?.value;
  const vertexCount = vertices.element.count;
  if (!(positions instanceof Float32Array) || positions.length !== 3 * vertexCount)
    throw disagrees('vertices');
  if (!(triangles instanceof Uint32Array) || triangles.length !== 3 * survey.triangles) {
    throw disagrees('faces');
  }
  if (colors !== null && (!(colors instanceof Uint8Array) || colors.length !== 3 * vertexCount)) {
    throw disagrees('colours');
  }
  compareSample(body, vertices, shape.xyz, positions, 'vertices');
  if (colors !== null) compareSample(body, vertices, shape.rgb!, colors, 'colours');
  compareFaces(body, faces, triangles);
  return { positions, colors, triangles, crossed: 0 };
}

function sampleOf(count: number): number[] {
  const size = Math.min(SAMPLES, count);
  return Array.from({ length: size }, (_, i) => Math.floor((i * (count - 1)) / Math.max(1, size - 1)));
}

function compareSample(
  body: PlyBody,
  place: PlyPlace,
  columns: readonly [number, number, number],
  values: Float32Array | Uint8Array,
  what: string,
): void {
  const { element, stride } = place;
  const offsets: number[] = [];
  element.properties.reduce((at, { type }, p) => {
    offsets[p] = at;
    return at + (type === 'float64' ? 8 : type.endsWith('32') ? 4 : type.endsWith('16') ? 2 : 1);
  }, place.start);
  for (const record of sampleOf(element.count)) {
    columns.forEach((p, k) => {
      const at = offsets[p]! + record * stride!;
      const expected = readScalar(body.view, at, element.properties[p]!.type, body.littleEndian);
      if (!Object.is(expected, values[3 * record + k])) throw disagrees(what);
    });
  }
}

function compareFaces(body: PlyBody, place: PlyPlace, triangles: Uint32Array): void {
  const bytes = (place.end - place.start) / place.element.count;
  const { type } = place.element.properties[0]!;
  const step = type.endsWith('32') ? 4 : type.endsWith('16') ? 2 : 1;
  for (const face of sampleOf(place.element.count)) {
    const first = place.start + (face + 1) * bytes - 3 * step;
    for (let k = 0; k < 3; k++) {
      const expected = readScalar(body.view, first + k * step, type, body.littleEndian);
      if (expected !== triangles[3 * face + k]) throw disagrees('faces');
    }
  }
}

function disagrees(what: string): ArchgapError {
  return new ArchgapError(
    'internal',
    'PLY_DECODER_DISAGREES',
    `The ${what} read from the PLY file differ from the bytes it holds; nothing was read. Report this file.`,
  );
}
