import { inputError } from '../geometry/archgap-error.ts';
import { partOf, type Steps } from '../geometry/steps.ts';
import { type PlyBody, type PlyPlace, placeElements } from './ply-body.ts';
import { decodePly, type PlyMesh } from './ply-decode.ts';
import { decodePlainPly, isPlain } from './ply-decode-plain.ts';
import { type PlyHeader, readPlyHeader } from './ply-header.ts';
import { surveyFaces, type VertexShape, vertexShape } from './ply-shape.ts';
import { plyTextToBinary } from './ply-text-to-binary.ts';
import { plural, type RawMesh, refuseHugeCount, trailingBytes } from './raw-mesh.ts';
import type { HealthFinding, ScanFormat } from './types.ts';

const FORMATS: Readonly<Record<PlyHeader['encoding'], ScanFormat>> = {
  ascii: 'ply-ascii',
  binary_little_endian: 'ply-binary-le',
  binary_big_endian: 'ply-binary-be',
};

/**
 * Reads a PLY file in five steps: the header from its bytes; a text body turned into a binary one; every element
 * placed and every face surveyed, which finds each wrong count, length and index; then the values, by loaders.gl
 * where it reads them rightly (and checked against the bytes), else by the fixed-stride decoder; polygons cut into
 * triangles.
 *
 * Contributor note. loaders.gl alone is not enough: it takes header characters for bytes, drops faces with five
 * corners and more, cuts 64-bit coordinates and float colours, and accepts short text, text in numbers and indices
 * that do not exist, all silently. Hence everything that decides what is in the file is decided here.
 *
 * @throws ArchgapError input, see the steps, and `PLY_NO_VERTICES`, `PLY_POINT_CLOUD`, `PLY_TRISTRIPS`,
 *   `NO_TRIANGLES`, `TOO_MANY_TRIANGLES`
 */
export function* readPly(bytes: Uint8Array): Steps<RawMesh> {
  const header = readPlyHeader(bytes);
  refuseOtherContent(header);
  const body: PlyBody =
    header.encoding === 'ascii'
      ? yield* partOf(plyTextToBinary(bytes, header), 0, 0.6)
      : {
          view: new DataView(
            bytes.buffer,
            bytes.byteOffset + header.bodyStart,
            bytes.length - header.bodyStart,
          ),
          littleEndian: header.encoding === 'binary_little_endian',
        };
  const { places, trailing } = yield* partOf(placeElements(body, header.elements), 0.6, 0.65);
  const vertices = places.find(({ element }) => element.name === 'vertex')!;
  const faces = places.find(({ element }) => element.name === 'face')!;
  refuseHugeCount(vertices.element.count, 'vertex record');
  refuseHugeCount(faces.element.count, 'face record');
  const shape = vertexShape(vertices.element);
  const mesh = yield* partOf(readValues(body, vertices, shape, faces), 0.65, 1);
  return {
    format: FORMATS[header.encoding],
    positions: mesh.positions,
    triangles: mesh.triangles,
    colors: mesh.colors,
    headerText: header.text,
    findings: [...mesh.findings, ...(trailing > 0 ? [trailingBytes(trailing)] : [])],
  };
}

/** Files that are sound PLY but hold no surface of faces. */
function refuseOtherContent(header: PlyHeader): void {
  const count = (name: string) => header.elements.find((element) => element.name === name)?.count ?? 0;
  if (count('vertex') === 0) {
    throw inputError('PLY_NO_VERTICES', 'The PLY file has no vertices. Export the scan again, as a surface.');
  }
  if (count('tristrips') > 0) {
    throw inputError(
      'PLY_TRISTRIPS',
      'The PLY file stores its surface as triangle strips. Export it with single faces instead.',
    );
  }
  if (count('face') === 0) {
    throw inputError(
      'PLY_POINT_CLOUD',
      `The PLY file holds ${plural(count('vertex'), 'point')} but no faces; spaces cannot be measured on a point cloud. Export the scan as a surface.`,
    );
  }
}

function* readValues(
  body: PlyBody,
  vertices: PlyPlace,
  shape: VertexShape,
  faces: PlyPlace,
): Steps<PlyMesh & { readonly findings: readonly HealthFinding[] }> {
  const survey = yield* partOf(surveyFaces(body, faces, vertices.element.count), 0, 0.3);
  if (survey.triangles === 0) {
    throw inputError(
      'NO_TRIANGLES',
      'No face of the PLY file has three corners. Export the scan as a surface.',
    );
  }
  refuseHugeCount(survey.triangles, 'triangle');
  const findings: HealthFinding[] = [];
  if (survey.tooFew > 0) {
    findings.push({
      code: 'FACES_WITHOUT_AREA_LEFT_OUT',
      severity: 'warning',
      sentence: `${plural(survey.tooFew, 'face')} with fewer than three corners left out.`,
      count: survey.tooFew,
    });
  }
  const mesh = isPlain(body, vertices, shape, faces, survey)
    ? yield* partOf(decodePlainPly(body, vertices, shape, faces), 0.3, 1)
    : yield* partOf(decodePly(body, vertices, shape, faces, survey), 0.3, 1);
  if (survey.polygons > 0) {
    findings.push({
      code: 'POLYGONS_CUT',
      severity: 'info',
      sentence: `${plural(survey.polygons, 'face')} with more than three corners cut into triangles.`,
      count: survey.polygons,
    });
  }
  if (mesh.crossed > 0) {
    findings.push({
      code: 'POLYGONS_CROSSED',
      severity: 'warning',
      sentence: `${plural(mesh.crossed, 'face')} without area or with an outline that crosses itself; the surface there is a guess.`,
      count: mesh.crossed,
    });
  }
  return { ...mesh, findings };
}
