import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import type { BufferGeometry } from 'three';
import { PLYLoader } from 'three/addons/loaders/PLYLoader.js';
import { STLLoader } from 'three/addons/loaders/STLLoader.js';
import { describe, expect, test } from 'vitest';
import { cancelledError } from '../../src/geometry/archgap-error.ts';
import { readScan } from '../../src/scan/read-scan.ts';
import { sha256 } from '../../src/scan/sha256.ts';
import type { Scan } from '../../src/scan/types.ts';
import {
  asciiStl,
  binaryStl,
  f32,
  faceRecords,
  joined,
  meshLines,
  pack,
  plyHeader,
  TETRAHEDRON,
  TETRAHEDRON_ROWS,
  TETRAHEDRON_SOUP,
  tetrahedronPly,
  text,
} from '../helpers/scan-files.ts';

/** Triangles by the coordinates of their corners, each rotated to begin with its least corner, in order. */
function surfaceOf({ positions, triangles }: Pick<Scan, 'positions' | 'triangles'>): string[] {
  const names: string[] = [];
  for (let t = 0; t < triangles.length; t += 3) {
    const corners = [0, 1, 2].map((k) => {
      const v = 3 * triangles[t + k]!;
      return [...positions.subarray(v, v + 3)].join(' ');
    });
    const least = corners.indexOf([...corners].sort()[0]!);
    names.push([0, 1, 2].map((k) => corners[(least + k) % 3]!).join(' | '));
  }
  return names.sort();
}

const read = (bytes: Uint8Array, fileName = 'a') => readScan(bytes, { fileName, unit: 'mm' });

describe('from bytes to a checked scan', () => {
  test('the same tetrahedron from every dialect is the same scan', async () => {
    const rows = text(`${TETRAHEDRON_ROWS.join('\n')}\n`);
    const files = [
      ['stl-binary', binaryStl(TETRAHEDRON_SOUP)],
      ['stl-ascii', text(asciiStl(TETRAHEDRON_SOUP))],
      ['ply-ascii', joined(plyHeader(meshLines('ascii', 4, 4)), rows)],
      ['ply-binary-le', tetrahedronPly(true)],
      ['ply-binary-be', tetrahedronPly(false)],
    ] as const;
    const surfaces: string[][] = [];
    for (const [format, bytes] of files) {
      const scan = await read(bytes, 'jaw.stl');
      expect(scan.source).toMatchObject({
        fileName: 'jaw.stl',
        byteLength: bytes.length,
        sha256: await sha256(bytes),
        format,
        trianglesInFile: 4,
        verticesInFile: format.startsWith('stl') ? 12 : 4,
      });
      expect(scan.health).toMatchObject({ vertices: 4, triangles: 4, openEdges: 0 });
      expect(scan.originMm).toEqual([0, 0, 0]);
      surfaces.push(surfaceOf(scan));
    }
    for (const surface of surfaces) expect(surface).toEqual(surfaces[0]);
  });

  test('the bytes are not modified, and the scan does not share their memory', async () => {
    for (const bytes of [binaryStl(TETRAHEDRON_SOUP), tetrahedronPly()]) {
      const copy = bytes.slice();
      const scan = await read(bytes);
      expect(bytes).toEqual(copy);
      expect(scan.positions.buffer).not.toBe(bytes.buffer);
      bytes.fill(0);
      expect(Math.max(...scan.positions)).toBe(10);
    }
  });

  test('the scan is plain data that can be cloned', async () => {
    const scan = await read(tetrahedronPly());
    expect(structuredClone(scan)).toEqual(scan);
  });

  test('the user overrules the unit', async () => {
    const scan = await readScan(binaryStl(TETRAHEDRON_SOUP, { header: 'units=mm' }), {
      fileName: 'a',
      unit: 'cm',
    });
    expect(scan.source.unit).toMatchObject({ unit: 'cm', basis: 'user' });
    expect(scan.health.sizeMm).toEqual([100, 100, 100]);
  });

  test('progress rises from 0 to 1 and cancelling stops the work at any checkpoint', async () => {
    const fractions: number[] = [];
    const watch = { checkpoint: async (fraction: number) => void fractions.push(fraction) };
    await readScan(tetrahedronPly(), { fileName: 'a', unit: 'mm', control: watch });
    expect(fractions.length).toBeGreaterThan(5);
    expect(fractions).toEqual([...fractions].sort((a, b) => a - b));
    expect(fractions.at(-1)).toBe(1);
    for (let stop = 0; stop < fractions.length; stop++) {
      let calls = 0;
      const cancel = {
        checkpoint: async () => {
          if (calls++ === stop) throw cancelledError();
        },
      };
      await expect(readScan(tetrahedronPly(), { fileName: 'a', control: cancel })).rejects.toMatchObject({
        code: 'CANCELLED',
        kind: 'cancelled',
      });
    }
  });

  test('errors name the file', async () => {
    await expect(read(new Uint8Array(0), 'jaw.stl')).rejects.toMatchObject({
      code: 'FILE_EMPTY',
      message: expect.stringContaining('"jaw.stl"'),
    });
  });
});

describe('as properties', () => {
  const coordinate = fc.integer({ min: -400, max: 400 }).map((x) => x / 8);
  const soup = fc
    .array(fc.tuple(coordinate, coordinate, coordinate), { minLength: 6, maxLength: 45 })
    .map((points) => points.slice(0, points.length - (points.length % 3)))
    .filter((points) =>
      // At least one triangle with an area.
      [0].every(() => {
        const [a, b, c] = [points[0]!, points[1]!, points[2]!];
        const u = b.map((x, k) => x - a[k]!);
        const v = c.map((x, k) => x - a[k]!);
        return [0, 1, 2].some((k) => u[(k + 1) % 3]! * v[(k + 2) % 3]! !== u[(k + 2) % 3]! * v[(k + 1) % 3]!);
      }),
    );

  test('the order of the triangles and the corner each begins with do not change the surface', async () => {
    await fc.assert(
      fc.asyncProperty(soup, fc.integer({ min: 1, max: 1000 }), async (points, salt) => {
        const triangles = Array.from({ length: points.length / 3 }, (_, t) => points.slice(3 * t, 3 * t + 3));
        const shuffled = triangles
          .map((corners, t) => ({
            corners: corners.map((_, k) => corners[(k + salt) % 3]!),
            key: (t * salt) % 101,
          }))
          .sort((a, b) => a.key - b.key)
          .map(({ corners }) => corners);
        const a = await read(binaryStl(triangles.flat(2)));
        const b = await read(binaryStl(shuffled.flat(2)));
        expect(b.health.vertices).toBe(a.health.vertices);
        // Of two triangles with the same corners the first one stays: which way round it runs depends on the order.
        const unordered = (scan: Scan) =>
          surfaceOf(scan)
            .map((name) => name.split(' | ').sort().join(' | '))
            .sort();
        expect(unordered(b)).toEqual(unordered(a));
      }),
      { seed: 51, numRuns: 60 },
    );
  });

  test('a quarter turn and a shift by whole millimetres turn and shift the scan, exactly', async () => {
    await fc.assert(
      fc.asyncProperty(soup, fc.integer({ min: -50, max: 50 }), async (points, shift) => {
        const moved = points.map(([x, y, z]) => [-y + shift, x - shift, z + 2 * shift]);
        const a = await read(binaryStl(points.flat()));
        const b = await read(text(asciiStl(moved.flat())));
        const back = Float32Array.from(b.positions, (_, i) => {
          const [x, y, z] = [0, 1, 2].map((k) => b.positions[i - (i % 3) + k]! + b.originMm[k]!) as [
            number,
            number,
            number,
          ];
          return [y + shift, -x + shift, z - 2 * shift][i % 3]!;
        });
        const unmoved = Float32Array.from(a.positions, (x, i) => x + a.originMm[i % 3]!);
        expect(surfaceOf({ ...b, positions: back })).toEqual(surfaceOf({ ...a, positions: unmoved }));
        expect(b.health.areaMm2).toBeCloseTo(a.health.areaMm2, 3);
        expect(b.health.medianEdgeMm).toBeCloseTo(a.health.medianEdgeMm, 4);
        for (const key of [
          'openEdges',
          'nonManifoldEdges',
          'flippedEdges',
          'components',
          'degenerateRemoved',
        ] as const) {
          expect(b.health[key]).toBe(a.health[key]);
        }
      }),
      { seed: 52, numRuns: 60 },
    );
  });

  test('the same mesh in cm, m and inches comes out in the same millimetres', async () => {
    for (const [unit, mm] of [
      ['cm', 10],
      ['m', 1000],
      ['in', 25.4],
    ] as const) {
      const values = f32(...TETRAHEDRON.positions.map((x) => x / mm));
      const bytes = joined(
        plyHeader(meshLines('binary_little_endian', 4, 4)),
        pack([...values, ...faceRecords(TETRAHEDRON.faces)]),
      );
      const scan = await readScan(bytes, { fileName: 'a', unit });
      scan.positions.forEach((x, i) => {
        expect(x).toBeCloseTo(TETRAHEDRON.positions[i]!, 5);
      });
    }
  });
});

/** Corners in file order by three's loaders: an independent reading of clean files. */
function cornersByThree(geometry: BufferGeometry): Float32Array {
  return new Float32Array(
    (geometry.index === null ? geometry : geometry.toNonIndexed()).getAttribute('position').array,
  );
}

const cornersOf = ({ positions, triangles }: Scan): Float32Array =>
  Float32Array.from(
    { length: 3 * triangles.length },
    (_, i) => positions[3 * triangles[Math.floor(i / 3)]! + (i % 3)]!,
  );

const DATA = join(import.meta.dirname, '../../../shared/data');
const hasData = existsSync(DATA);
if (!hasData) console.warn('tests/scan: ../shared/data is absent; its files are not read in this run.');

const filesIn = (...folders: string[]): string[] =>
  readdirSync(join(DATA, ...folders))
    .filter((name) => /\.(stl|ply)$/.test(name))
    .map((name) => join(DATA, ...folders, name));

describe('against an independent loader, on clean files', () => {
  const buffer = (bytes: Uint8Array): ArrayBuffer => bytes.slice().buffer as ArrayBuffer;

  test('the tetrahedron, STL and PLY, text and binary', async () => {
    const ascii = asciiStl(TETRAHEDRON_SOUP);
    const plyText = joined(plyHeader(meshLines('ascii', 4, 4)), text(`${TETRAHEDRON_ROWS.join('\n')}\n`));
    for (const bytes of [binaryStl(TETRAHEDRON_SOUP), text(ascii)]) {
      expect(cornersOf(await read(bytes))).toEqual(cornersByThree(new STLLoader().parse(buffer(bytes))));
    }
    for (const bytes of [plyText, tetrahedronPly(true), tetrahedronPly(false)]) {
      expect(cornersOf(await read(bytes))).toEqual(cornersByThree(new PLYLoader().parse(buffer(bytes))));
    }
  });

  test.runIf(hasData)('every shared file: the same corners, triangle by triangle', async () => {
    const files = [
      ...filesIn('real', 'arch-upper'),
      ...filesIn('real', 'crowns-upper').slice(0, 3),
      ...filesIn('synthetic', 'upper-three-spaces'),
    ];
    expect(files.length).toBe(5);
    for (const file of files) {
      const bytes = new Uint8Array(readFileSync(file));
      const scan = await read(bytes);
      const loader = file.endsWith('.stl') ? new STLLoader() : new PLYLoader();
      const theirs = cornersByThree(loader.parse(buffer(bytes)));
      expect(theirs.length / 9).toBe(scan.source.trianglesInFile);
      const ours = cornersOf(scan);
      expect(Buffer.compare(Buffer.from(ours.buffer), Buffer.from(theirs.buffer))).toBe(0);
    }
  });
});

describe.runIf(hasData)('the shared data', () => {
  test('the four synthetic scans: complete, coloured, one jaw with a few crumbs, in millimetres', async () => {
    const expected = {
      'lower-all-closed': [141_953, 280_162],
      'upper-blunt-scanner': [141_902, 279_980],
      'upper-follow-up': [141_986, 280_215],
      'upper-three-spaces': [141_888, 279_984],
    };
    for (const [folder, [vertices, triangles]] of Object.entries(expected)) {
      const bytes = new Uint8Array(readFileSync(join(DATA, 'synthetic', folder, 'scan.ply')));
      const scan = await readScan(bytes, { fileName: 'scan.ply' });
      expect(scan.health).toMatchObject({ vertices, triangles, nonManifoldEdges: 0, flippedEdges: 0 });
      expect(scan.colors?.length).toBe(3 * vertices!);
      expect(scan.source.unit).toMatchObject({ unit: 'mm', sure: true });
      expect(scan.health.largestComponentTriangles / triangles!).toBeGreaterThan(0.998);
    }
  });

  test('the real arch: its faults are counted, its header names the unit', async () => {
    const bytes = new Uint8Array(readFileSync(join(DATA, 'real/arch-upper/scan.stl')));
    const scan = await readScan(bytes, { fileName: 'scan.stl' });
    expect(scan.health).toMatchObject({
      triangles: 99_999,
      vertices: 50_643,
      nonManifoldEdges: 27,
      flippedEdges: 1,
    });
    expect(scan.source.unit).toMatchObject({ unit: 'mm', basis: 'header', sure: true });
  });

  test('every crown shell is closed, in one piece, outside out, and taken as millimetres', async () => {
    const files = [
      ...filesIn('real', 'crowns-upper'),
      ...filesIn('real', 'crowns-lower'),
      ...filesIn('synthetic', 'upper-three-spaces', 'crowns'),
    ];
    expect(files.length).toBe(36);
    for (const file of files) {
      const scan = await readScan(new Uint8Array(readFileSync(file)), { fileName: file });
      expect(scan.health).toMatchObject({
        components: 1,
        openEdges: 0,
        nonManifoldEdges: 0,
        flippedEdges: 0,
      });
      expect(scan.health.findings.map(({ code }) => code)).not.toContain('INSIDE_OUT');
      expect(scan.source.unit).toMatchObject({ unit: 'mm', sure: true });
      // Euler: a closed surface without handles has V - E + F = 2, and E = 3F / 2.
      expect(scan.health.vertices - scan.health.triangles / 2).toBe(2);
    }
  });
});
