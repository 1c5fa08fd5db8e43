import { describe, expect, test } from 'vitest';
import { torus } from '../../fixtures/shapes.ts';
import { type PlyOptions, writePly } from '../../fixtures/write-ply.ts';
import { writeAsciiStl, writeBinaryStl } from '../../fixtures/write-stl.ts';
import { readScan } from '../../src/scan/read-scan.ts';

// Written by the generator's writers, which know nothing of the readers.
const MESH = torus({ ring: 20, tube: 6, edgeMm: 3 });
const VERTICES = MESH.positions.length / 3;
const TRIANGLES = MESH.triangles.length / 3;
const COLORS = Uint8Array.from({ length: 3 * VERTICES }, (_, i) => (i * 37) % 256);
const read = (bytes: Uint8Array) => readScan(bytes, { fileName: 'torus', unit: 'mm' });

const ramp = (name: string, type: 'uchar' | 'short' | 'int' | 'float' | 'double', count: number) => ({
  name,
  type,
  values: Array.from({ length: count }, (_, i) => i % 100),
});

const DIALECTS: readonly PlyOptions[] = [
  {},
  { comments: ['Zähne 歯', 'end_header soon'] },
  { lineEnd: '\r\n', sizedNames: true },
  { colors: COLORS, alpha: true, normals: new Float32Array(3 * VERTICES).fill(0.5) },
  { countType: 'int', indexType: 'uint', listName: 'vertex_index' },
  { countType: 'ushort', indexType: 'ushort', scalar: 'double' },
  { strangeElement: { name: 'material', count: 11 }, leading: [ramp('id', 'int', VERTICES)] },
  {
    colors: COLORS,
    extraVertex: [ramp('quality', 'double', VERTICES), ramp('vertices', 'short', VERTICES)],
    leadingFace: [ramp('flags', 'uchar', TRIANGLES)],
    extraFace: [ramp('area', 'float', TRIANGLES)],
  },
];

describe('what the writers wrote is read, number for number', () => {
  for (const encoding of ['ascii', 'binary-le', 'binary-be'] as const) {
    test.each(DIALECTS.map((options, i) => [i, options] as const))(
      `PLY ${encoding}, dialect %i`,
      async (_, options) => {
        const scan = await read(writePly(MESH, { ...options, encoding }));
        expect([...scan.positions]).toEqual([...MESH.positions].map((x) => x + 0));
        expect([...scan.triangles]).toEqual([...MESH.triangles]);
        expect(scan.colors === null ? null : [...scan.colors]).toEqual(
          options.colors === undefined ? null : [...COLORS],
        );
        expect(scan.health).toMatchObject({
          openEdges: 0,
          nonManifoldEdges: 0,
          flippedEdges: 0,
          components: 1,
        });
      },
    );

    test(`PLY ${encoding}: quads of the torus become the same closed surface with the same number of triangles`, async () => {
      // Two triangles that share a diagonal, put back together: a - b - c and a - c - d.
      const polygons: number[][] = [];
      for (let t = 0; t < TRIANGLES; t += 2) {
        const [a, b, c, d, e, f] = [...MESH.triangles.subarray(3 * t, 3 * t + 6)];
        const fresh = [d!, e!, f!].find((v) => ![a, b, c].includes(v))!;
        const shared = [a!, b!, c!].map((v, k) => [v, [a!, b!, c!][(k + 1) % 3]!] as const);
        const edge = shared.findIndex(([from, to]) => [d, e, f].includes(from) && [d, e, f].includes(to));
        const quad = [a!, b!, c!];
        quad.splice(edge + 1, 0, fresh);
        polygons.push(quad);
      }
      const scan = await read(writePly(MESH, { encoding, polygons }));
      expect(scan.source.trianglesInFile).toBe(TRIANGLES);
      expect(scan.health).toMatchObject({
        triangles: TRIANGLES,
        openEdges: 0,
        nonManifoldEdges: 0,
        flippedEdges: 0,
        components: 1,
      });
      // A torus: V - E + F = 0 with E = 3F / 2.
      expect(scan.health.vertices - scan.health.triangles / 2).toBe(0);
    });

    test(`PLY ${encoding}: double coordinates 40 m away keep micrometres`, async () => {
      const far = Float64Array.from(MESH.positions, (x, i) => x + [40_000, -25_000, 8000][i % 3]!);
      const scan = await read(writePly(MESH, { encoding, scalar: 'double', doublePositions: far }));
      for (let i = 0; i < far.length; i++) {
        expect(Math.abs(scan.positions[i]! + scan.originMm[i % 3]! - far[i]!)).toBeLessThan(5e-6);
      }
    });
  }

  test.each([
    ['binary', writeBinaryStl(MESH)],
    ['binary that begins with solid', writeBinaryStl(MESH, { header: 'solid torus' })],
    ['binary with bytes after the end', writeBinaryStl(MESH, { trailing: new Uint8Array([1, 2, 3]) })],
    ['ASCII', writeAsciiStl(MESH)],
    [
      'ASCII, CRLF, capitals',
      writeAsciiStl(MESH, { lineEnd: '\r\n', upperCase: true, name: 'a solid endsolid' }),
    ],
  ])('STL, %s', async (_, bytes) => {
    const scan = await read(bytes);
    expect(scan.health).toMatchObject({
      vertices: VERTICES,
      triangles: TRIANGLES,
      weldedVertices: 3 * TRIANGLES - VERTICES,
      openEdges: 0,
      nonManifoldEdges: 0,
    });
    const corners = (mesh: { positions: Float32Array; triangles: Uint32Array }) =>
      [...mesh.triangles].flatMap((v) => [0, 1, 2].map((k) => mesh.positions[3 * v + k]! + 0));
    expect(corners(scan)).toEqual(corners(MESH));
  });
});
