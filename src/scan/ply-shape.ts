import { type ArchgapError, inputError } from '../geometry/archgap-error.ts';
import type { Steps } from '../geometry/steps.ts';
import { formatCount } from './format-count.ts';
import { BINARY_CHUNK, LARGEST_POLYGON } from './limits.ts';
import { type PlyBody, type PlyPlace, readScalar, TRIPLE_BYTES, walkRecord } from './ply-body.ts';
import { type PlyElement, type PlyProperty, SCALAR_BYTES } from './ply-header.ts';
import { plural } from './raw-mesh.ts';

/** Where in the vertex records coordinates and colours are, as property numbers. */
export interface VertexShape {
  readonly xyz: readonly [number, number, number];
  readonly rgb: readonly [number, number, number] | null;
}

/** What the faces are, from one walk over all of them. */
export interface FaceSurvey {
  /** Property number of the list of corners. */
  readonly corners: number;
  /** Triangles after every polygon is cut up. */
  readonly triangles: number;
  readonly allTriangles: boolean;
  /** Faces with more than three corners. */
  readonly polygons: number;
  /** Faces with fewer than three corners. */
  readonly tooFew: number;
  /** The corners of all triangles, where they could be read on the way. */
  readonly indices: Uint32Array | null;
}

const COLOR_NAMES = [
  ['red', 'green', 'blue'],
  ['diffuse_red', 'diffuse_green', 'diffuse_blue'],
  ['r', 'g', 'b'],
] as const;

function findThree(
  element: PlyElement,
  names: readonly [string, string, string],
): readonly [number, number, number] | null {
  const [a, b, c] = names.map((name) =>
    element.properties.findIndex((property) => property.name === name && property.countType === null),
  );
  return a! >= 0 && b! >= 0 && c! >= 0 ? [a!, b!, c!] : null;
}

/**
 * Finds coordinates and colours.
 *
 * @throws ArchgapError input `PLY_NO_COORDINATES`
 */
export function vertexShape(element: PlyElement): VertexShape {
  const xyz = findThree(element, ['x', 'y', 'z']);
  if (xyz === null) {
    throw inputError(
      'PLY_NO_COORDINATES',
      'The vertices of the PLY file have no properties x, y and z. Export the scan again.',
    );
  }
  const rgb = COLOR_NAMES.map((names) => findThree(element, names)).find((found) => found !== null);
  return { xyz, rgb: rgb ?? null };
}

/**
 * Walks over all faces: counts them, and checks that every corner is a vertex of the file.
 *
 * @throws ArchgapError input `PLY_NO_CORNERS`, `PLY_FACE_TOO_LARGE`, `PLY_INDEX_OUT_OF_RANGE`
 */
export function* surveyFaces(body: PlyBody, place: PlyPlace, vertexCount: number): Steps<FaceSurvey> {
  const { element } = place;
  const corners = element.properties.findIndex(
    ({ name, countType }) => countType !== null && (name === 'vertex_indices' || name === 'vertex_index'),
  );
  const property = element.properties[corners];
  if (property === undefined || property.type === 'float32' || property.type === 'float64') {
    throw inputError(
      'PLY_NO_CORNERS',
      'The faces of the PLY file have no list of whole numbers named vertex_indices. Export the scan again.',
    );
  }
  const indices = place.isTriples ? yield* readTriples(body, place, vertexCount) : null;
  if (indices !== null) {
    return { corners, triangles: element.count, allTriangles: true, polygons: 0, tooFew: 0, indices };
  }
  const survey = { corners, triangles: 0, allTriangles: true, polygons: 0, tooFew: 0, indices };
  const offsets = new Float64Array(element.properties.length);
  let at = place.start;
  for (let from = 0; from < element.count; from += BINARY_CHUNK) {
    const to = Math.min(from + BINARY_CHUNK, element.count);
    for (let face = from; face < to; face++) {
      at = walkRecord(body, element, at, offsets);
      surveyFace(body, property, offsets[corners]!, face, vertexCount, survey);
    }
    yield { fraction: to / element.count, stage: 'Checking the faces' };
  }
  return survey;
}

/** Reads triangles at a fixed stride; null when a corner is no vertex of the file, for the slow walk to say which. */
function* readTriples(
  { view, littleEndian }: PlyBody,
  { element, start }: PlyPlace,
  vertexCount: number,
): Steps<Uint32Array | null> {
  const indices = new Uint32Array(3 * element.count);
  for (let from = 0; from < element.count; from += BINARY_CHUNK) {
    const to = Math.min(from + BINARY_CHUNK, element.count);
    // A negative corner reads as one of more than two billion.
    if (copyTriples(view, littleEndian, start, indices, from, to) >= vertexCount) return null;
    yield { fraction: to / element.count, stage: 'Reading faces' };
  }
  return indices;
}

/** Returns the largest corner. */
function copyTriples(
  view: DataView,
  littleEndian: boolean,
  start: number,
  indices: Uint32Array,
  from: number,
  to: number,
): number {
  let largest = 0;
  for (let face = from, at = start + from * TRIPLE_BYTES; face < to; face++, at += TRIPLE_BYTES) {
    const a = view.getUint32(at + 1, littleEndian);
    const b = view.getUint32(at + 5, littleEndian);
    const c = view.getUint32(at + 9, littleEndian);
    if (a > largest) largest = a;
    if (b > largest) largest = b;
    if (c > largest) largest = c;
    indices[3 * face] = a;
    indices[3 * face + 1] = b;
    indices[3 * face + 2] = c;
  }
  return largest;
}

function surveyFace(
  body: PlyBody,
  property: PlyProperty,
  offset: number,
  face: number,
  vertexCount: number,
  survey: { triangles: number; allTriangles: boolean; polygons: number; tooFew: number },
): void {
  const { view, littleEndian } = body;
  const countType = property.countType!;
  const count = readScalar(view, offset, countType, littleEndian);
  if (count > LARGEST_POLYGON) {
    throw inputError(
      'PLY_FACE_TOO_LARGE',
      `Face ${formatCount(face)} of the PLY file (counted from 0) has ${formatCount(count)} corners; at most ${LARGEST_POLYGON} can be read. Export the scan as triangles.`,
      { details: { face, corners: count } },
    );
  }
  const first = offset + SCALAR_BYTES[countType];
  const step = SCALAR_BYTES[property.type];
  for (let k = 0; k < count; k++) {
    const index = readScalar(view, first + k * step, property.type, littleEndian);
    if (index < 0 || index >= vertexCount) throw badIndex(face, index, vertexCount);
  }
  if (count !== 3) survey.allTriangles = false;
  if (count > 3) survey.polygons++;
  if (count < 3) survey.tooFew++;
  else survey.triangles += count - 2;
}

function badIndex(face: number, index: number, vertexCount: number): ArchgapError {
  return inputError(
    'PLY_INDEX_OUT_OF_RANGE',
    `Face ${formatCount(face)} of the PLY file (counted from 0) names vertex ${index}, but the file has only ${plural(vertexCount, 'vertex').replace('vertexs', 'vertices')}, numbered from 0. Export it again.`,
    { details: { face, index, vertices: vertexCount } },
  );
}
