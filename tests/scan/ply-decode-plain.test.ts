import { describe, expect, test, vi } from 'vitest';
import { runAtOnce } from '../../src/geometry/steps.ts';
import { LOADERS_GL_LIMIT_BYTES, TEXT_CHUNK } from '../../src/scan/limits.ts';
import { type PlyBody, placeElements } from '../../src/scan/ply-body.ts';
import { decodePly } from '../../src/scan/ply-decode.ts';
import { decodePlainPly, isPlain } from '../../src/scan/ply-decode-plain.ts';
import { readPlyHeader } from '../../src/scan/ply-header.ts';
import { surveyFaces, vertexShape } from '../../src/scan/ply-shape.ts';
import { FACE_LIST, joined, plyHeader, XYZ } from '../helpers/scan-files.ts';

interface BigPly {
  readonly littleEndian: boolean;
  readonly coordinate?: 'float' | 'double';
  readonly extraBefore?: string;
  readonly faceLines?: readonly string[];
  readonly corners?: number;
}

/** A wavy strip of `count` triangles with colours, as bytes. */
function stripPly(count: number, options: BigPly): Uint8Array {
  const { littleEndian, coordinate = 'float', corners = 3 } = options;
  const wide = coordinate === 'double' ? 8 : 4;
  const stride = 3 * wide + 3;
  const faceBytes = 1 + 4 * corners;
  const vertices = count + 2;
  const view = new DataView(new ArrayBuffer(vertices * stride + count * faceBytes));
  for (let v = 0; v < vertices; v++) {
    const point = [v * 0.1, v % 2, Math.sin(v)];
    for (let k = 0; k < 3; k++) {
      if (wide === 8) view.setFloat64(v * stride + 8 * k, point[k]!, littleEndian);
      else view.setFloat32(v * stride + 4 * k, point[k]!, littleEndian);
      view.setUint8(v * stride + 3 * wide + k, (v * (k + 3)) % 256);
    }
  }
  for (let t = 0; t < count; t++) {
    const at = vertices * stride + t * faceBytes;
    view.setUint8(at, corners);
    for (let k = 0; k < corners; k++) view.setInt32(at + 1 + 4 * k, (t + k) % vertices, littleEndian);
  }
  const header = plyHeader([
    `format binary_${littleEndian ? 'little' : 'big'}_endian 1.0`,
    `element vertex ${vertices}`,
    ...XYZ.map((line) => line.replace('float', coordinate)),
    ...['red', 'green', 'blue'].map((name) => `property uchar ${name}`),
    `element face ${count}`,
    FACE_LIST,
  ]);
  return joined(header, new Uint8Array(view.buffer));
}

function opened(bytes: Uint8Array) {
  const header = readPlyHeader(bytes);
  const body: PlyBody = {
    view: new DataView(bytes.buffer, bytes.byteOffset + header.bodyStart, bytes.length - header.bodyStart),
    littleEndian: header.encoding === 'binary_little_endian',
  };
  const { places } = runAtOnce(placeElements(body, header.elements));
  const [vertices, faces] = [places[0]!, places[1]!];
  const shape = vertexShape(vertices.element);
  const survey = runAtOnce(surveyFaces(body, faces, vertices.element.count));
  return { body, vertices, shape, faces, survey };
}

describe('loaders.gl beside the fixed-stride decoder', () => {
  test.each([true, false])(
    'read the same from a file of several pieces (little-endian: %s)',
    (littleEndian) => {
      const { body, vertices, shape, faces, survey } = opened(stripPly(TEXT_CHUNK + 17, { littleEndian }));
      expect(isPlain(body, vertices, shape, faces, survey)).toBe(true);
      const plain = runAtOnce(decodePlainPly(body, vertices, shape, faces));
      const own = runAtOnce(decodePly(body, vertices, shape, faces, survey));
      expect(Buffer.compare(Buffer.from(plain.positions.buffer), Buffer.from(own.positions.buffer))).toBe(0);
      expect(Buffer.compare(Buffer.from(plain.triangles.buffer), Buffer.from(own.triangles.buffer))).toBe(0);
      expect(Buffer.compare(Buffer.from(plain.colors!), Buffer.from(own.colors!))).toBe(0);
    },
  );

  test('loaders.gl is not asked where it would be wrong or slow', () => {
    const plain = (bytes: Uint8Array) => {
      const { body, vertices, shape, faces, survey } = opened(bytes);
      return isPlain(body, vertices, shape, faces, survey);
    };
    expect(plain(stripPly(50, { littleEndian: true }))).toBe(true);
    expect(plain(stripPly(50, { littleEndian: true, coordinate: 'double' }))).toBe(false);
    expect(plain(stripPly(50, { littleEndian: true, corners: 4 }))).toBe(false);
    expect(plain(stripPly(50, { littleEndian: true, corners: 5 }))).toBe(false);
    expect(plain(stripPly(Math.ceil(LOADERS_GL_LIMIT_BYTES / 28), { littleEndian: true }))).toBe(false);
    const trap = stripPly(50, { littleEndian: true });
    trap.set(new TextEncoder().encode('end_header '), trap.length - 200);
    const header = readPlyHeader(trap);
    const body = { view: new DataView(trap.buffer, header.bodyStart), littleEndian: true };
    const { vertices, shape, faces, survey } = opened(stripPly(50, { littleEndian: true }));
    expect(isPlain(body, vertices, shape, faces, survey)).toBe(false);
  });

  test('an answer that differs from the bytes is refused, also when the loader fails altogether', () => {
    // The loader prints what it cannot make sense of.
    const quiet = vi.spyOn(console, 'log').mockImplementation(() => {});
    const refusal = expect.objectContaining({ code: 'PLY_DECODER_DISAGREES', kind: 'internal' });
    const quads = opened(stripPly(50, { littleEndian: true, corners: 4 }));
    expect(() => runAtOnce(decodePlainPly(quads.body, quads.vertices, quads.shape, quads.faces))).toThrow(
      refusal,
    );
    // "end_header" within the vertices: the loader begins there, finds too little, or reads shifted values.
    const { body, vertices, shape, faces } = opened(stripPly(50, { littleEndian: true }));
    const bytes = new Uint8Array(body.view.buffer, body.view.byteOffset);
    bytes.set(new TextEncoder().encode('end_header '), vertices.start + 30);
    expect(() => runAtOnce(decodePlainPly(body, vertices, shape, faces))).toThrow(refusal);
    quiet.mockRestore();
  });
});
