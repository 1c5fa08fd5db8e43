import { describe, expect, test } from 'vitest';
import { runAtOnce } from '../../src/geometry/steps.ts';
import { buildScan } from '../../src/scan/build-scan.ts';
import type { RawMesh } from '../../src/scan/raw-mesh.ts';
import { openReader } from '../../src/scan/read-scan.ts';
import type { LengthUnit } from '../../src/scan/types.ts';
import { binaryStl, TETRAHEDRON, TETRAHEDRON_SOUP } from '../helpers/scan-files.ts';

const INDEXED: RawMesh = {
  format: 'ply-binary-le',
  positions: new Float32Array(TETRAHEDRON.positions),
  triangles: new Uint32Array(TETRAHEDRON.faces.flat()),
  colors: null,
  headerText: '',
  findings: [],
};
const build = (raw: Partial<RawMesh>, unit: LengthUnit | null = 'mm') =>
  runAtOnce(
    buildScan({ ...INDEXED, ...raw }, { fileName: 'a.ply', byteLength: 1, sha256: '0'.repeat(64), unit }),
  );
const faultOf = (raw: Partial<RawMesh>) => {
  try {
    return build(raw);
  } catch (error) {
    return error;
  }
};
const withValue = (index: number, value: number) =>
  Float32Array.from(TETRAHEDRON.positions, (x, i) => (i === index ? value : x));

describe('coordinates that are no places', () => {
  test.each([
    ['NaN', Number.NaN, 'COORDINATE_NOT_FINITE', 'not a number'],
    ['infinity', Number.POSITIVE_INFINITY, 'COORDINATE_NOT_FINITE', 'infinite'],
    ['minus infinity', Number.NEGATIVE_INFINITY, 'COORDINATE_NOT_FINITE', 'infinite'],
    ['1e30', 1e30, 'COORDINATE_OUT_OF_RANGE', '1.000e+30'],
  ])('%s in a vertex is refused with its place', (_, value, code, words) => {
    const fault = faultOf({ positions: withValue(7, value) });
    expect(fault).toMatchObject({ code, kind: 'input', details: { vertex: 2, axis: 'y' } });
    expect(String(fault)).toContain(`coordinate y of vertex 2 (counted from 0) is ${words}`);
  });

  test('NaN in an STL corner is refused with triangle and corner', () => {
    const positions = Float32Array.from(TETRAHEDRON_SOUP);
    positions[9 * 2 + 3 * 1 + 2] = Number.NaN;
    expect(String(faultOf({ positions, triangles: null }))).toContain(
      'coordinate z of corner 2 of triangle 2',
    );
  });

  test('NaN in a corner of a binary STL is refused with its first place in the file', () => {
    const soup = [...TETRAHEDRON_SOUP, ...TETRAHEDRON_SOUP];
    soup[9 * 2 + 3 * 1 + 2] = Number.NaN;
    soup[9 * 6 + 3 * 1 + 2] = Number.NaN;
    const raw = runAtOnce(openReader(binaryStl(soup), 'a.stl'));
    const fault = faultOf(raw);
    expect(fault).toMatchObject({ code: 'COORDINATE_NOT_FINITE', details: { vertex: 7, axis: 'z' } });
    expect(String(fault)).toContain('coordinate z of corner 2 of triangle 2');
  });

  test('NaN in a vertex that no face uses is refused, too', () => {
    const positions = new Float32Array([...TETRAHEDRON.positions, Number.NaN, 0, 0]);
    expect(faultOf({ positions })).toMatchObject({ code: 'COORDINATE_NOT_FINITE', details: { vertex: 4 } });
  });

  test('a mesh of triangles without area is no surface', () => {
    const positions = new Float32Array([0, 0, 0, 1, 1, 1, 2, 2, 2]);
    expect(faultOf({ positions, triangles: new Uint32Array([0, 1, 2]) })).toMatchObject({
      code: 'NO_TRIANGLES',
    });
  });
});

describe('meshes far from their origin', () => {
  const far = (offset: readonly number[]) => TETRAHEDRON.positions.map((x, i) => x + offset[i % 3]!);

  test('64-bit coordinates 123 m away come nearer without losing a digit', () => {
    const offset = [123_456.25, -98_765.5, 10_000];
    const { positions, originMm, health } = build({ positions: Float64Array.from(far(offset)) });
    for (let i = 0; i < 12; i++) {
      expect(positions[i]! + originMm[i % 3]!).toBe(TETRAHEDRON.positions[i]! + offset[i % 3]!);
      expect(Math.abs(positions[i]!)).toBeLessThan(16);
    }
    for (const x of originMm) expect(Number.isInteger(x)).toBe(true);
    expect(health.findings.map(({ code }) => code)).not.toContain('COORDINATE_STEPS');
  });

  test('32-bit coordinates far away are moved exactly, and their coarse steps are reported', () => {
    const stored = Float32Array.from(far([123_456.25, 0, 0]));
    const { positions, originMm, health } = build({ positions: stored });
    for (let i = 0; i < 12; i++) expect(positions[i]! + originMm[i % 3]!).toBe(stored[i]!);
    expect(health.findings).toContainEqual(
      expect.objectContaining({ code: 'COORDINATE_STEPS', severity: 'warning' }),
    );
  });

  test('corners of a binary STL that only moving makes equal are joined and counted like the others', () => {
    // Beside 100 m, the origin of y is rounded to 3, and 32 bits cannot tell 0 - 3 from 1e-20 - 3.
    const soup = [1e5, 0, 0, 1e5 + 8, 0, 0, 1e5, 6, 0, 1e5, 1e-20, 0, 1e5, 6, 0, 1e5, 0, 6];
    const raw = runAtOnce(openReader(binaryStl(soup), 'a.stl'));
    expect(raw.positions.length / 3).toBe(5);
    const scan = build(raw);
    expect(scan.originMm[1]).toBe(3);
    expect(scan.positions.length / 3).toBe(4);
    expect(scan.health.weldedVertices).toBe(2);
    expect([...scan.vertexInFile!]).toEqual([0, 1, 2, 5]);
    expect(scan.source).toMatchObject({ trianglesInFile: 2, verticesInFile: 6 });
  });

  test('near meshes keep the origin of the file, without -0', () => {
    const { originMm, positions } = build({ positions: Float64Array.from(far([30, -40, 5])) });
    expect(originMm).toEqual([0, 0, 0]);
    expect([...positions]).toEqual(far([30, -40, 5]));
  });

  test('a stray vertex far away that no face uses does not decide the origin', () => {
    const positions = Float64Array.from([...far([50_000, 0, 0]), -50_000, 0, 0]);
    expect(build({ positions }).originMm[0]).toBeGreaterThan(49_000);
  });
});

describe('units', () => {
  test.each([
    ['mm', 1],
    ['cm', 10],
    ['m', 1000],
    ['in', 25.4],
  ] as const)('a file in %s becomes millimetres: positions, origin, sizes, areas, edges', (unit, mm) => {
    const inUnit = (values: readonly number[]) => Float64Array.from(values, (x) => x / mm + 4000);
    const scan = build({ positions: inUnit(TETRAHEDRON.positions) }, unit);
    for (let i = 0; i < 12; i++) {
      expect(scan.positions[i]! + scan.originMm[i % 3]!).toBeCloseTo(
        TETRAHEDRON.positions[i]! + 4000 * mm,
        2,
      );
    }
    for (const size of scan.health.sizeMm) expect(size).toBeCloseTo(10, 4);
    expect(scan.health.areaMm2).toBeCloseTo(150 + (Math.sqrt(3) / 4) * 200, 2);
    expect(scan.health.medianEdgeMm).toBeCloseTo(5 + 5 * Math.SQRT2, 4);
    expect(scan.source.unit).toMatchObject({ unit, basis: 'user', sure: true });
  });

  test('an unsure unit is a finding', () => {
    const { source, health } = build({ positions: withValue(3, 5000) }, null);
    expect(source.unit.sure).toBe(false);
    expect(health.findings).toContainEqual(
      expect.objectContaining({ code: 'UNIT_UNSURE', severity: 'warning' }),
    );
  });
});

test('where vertices and triangles were in the file', () => {
  const positions = new Float32Array([5, 5, 5, ...TETRAHEDRON.positions, 0, 0, 0]);
  // A degenerate triangle first; then the tetrahedron shifted by one vertex, its corner 0 the repeated last one.
  const triangles = new Uint32Array([1, 1, 2, ...TETRAHEDRON.faces.flat().map((v) => (v === 0 ? 5 : v + 1))]);
  const scan = build({ positions, triangles: triangles.slice() });
  expect([...scan.triangleInFile!]).toEqual([1, 2, 3, 4]);
  expect([...scan.vertexInFile!]).toEqual([1, 2, 3, 4]);
  expect(scan.source).toMatchObject({ trianglesInFile: 5, verticesInFile: 6 });
  for (let t = 0; t < 4; t++) {
    for (let k = 0; k < 3; k++) {
      const inFile = triangles[3 * scan.triangleInFile![t]! + k]!;
      const inScan = scan.triangles[3 * t + k]!;
      expect([...scan.positions.subarray(3 * inScan, 3 * inScan + 3)]).toEqual([
        ...positions.subarray(3 * inFile, 3 * inFile + 3),
      ]);
    }
  }
});

describe('a surface that was cut apart', () => {
  // Two squares in one plane, their facing sides 0.02 mm apart; the second one has its triangles first in the file.
  const CUT = [
    [10.02, 0, 0, 20, 0, 0, 20, 10, 0, 10.02, 10, 0],
    [0, 0, 0, 10, 0, 0, 10, 10, 0, 0, 10, 0],
  ].flat();
  const cut = (scale = 1, unit: LengthUnit = 'mm') =>
    build(
      {
        positions: Float32Array.from(CUT, (x) => scale * x),
        triangles: new Uint32Array([0, 1, 2, 0, 2, 3, 4, 5, 6, 4, 6, 7]),
      },
      unit,
    );

  test.each([
    ['mm', 1],
    ['in', 1 / 25.4],
  ] as const)('is one again, and says so, in %s', (unit, scale) => {
    const { health, positions, triangleInFile, vertexInFile } = cut(scale, unit);
    expect(health).toMatchObject({ vertices: 6, components: 1, openEdges: 6, weldedVertices: 2 });
    const finding = health.findings.find(({ code }) => code === 'SEAMS_JOINED');
    expect(finding).toMatchObject({ severity: 'info', count: 1 });
    expect(finding?.sentence).toContain('no point was moved by more than 10.0 µm');
    expect([...triangleInFile!]).toEqual([0, 1, 2, 3]);
    expect([...vertexInFile!]).toEqual([0, 1, 2, 3, 4, 7]);
    expect(positions[0]).toBeCloseTo(10.01, 5);
  });

  test.each([
    [7, 'info'],
    [8, 'warning'],
  ] as const)('along %i edges: %s', (edges, severity) => {
    const side = (x: number, width: number) =>
      Array.from({ length: edges + 1 }, (_, k) => [x, k, 0, x + width, k, 0]).flat();
    const strips = [...side(0, 10), ...side(10.02, 10)];
    const faces = [0, 2 * (edges + 1)].flatMap((first) =>
      Array.from({ length: edges }, (_, k) => first + 2 * k).flatMap((a) => [
        a,
        a + 1,
        a + 3,
        a,
        a + 3,
        a + 2,
      ]),
    );
    const { health } = build({ positions: Float32Array.from(strips), triangles: new Uint32Array(faces) });
    expect(health.findings.find(({ code }) => code === 'SEAMS_JOINED')).toMatchObject({
      severity,
      count: edges,
    });
  });

  test('farther apart it stays as it is, without a word', () => {
    const { health } = build({
      positions: Float32Array.from(CUT, (x) => (Math.abs(x - 10.02) < 1e-9 ? 10.04 : x)),
      triangles: new Uint32Array([0, 1, 2, 0, 2, 3, 4, 5, 6, 4, 6, 7]),
    });
    expect(health).toMatchObject({ components: 2, openEdges: 8 });
    expect(health.findings.map(({ code }) => code)).not.toContain('SEAMS_JOINED');
  });

  test('cracks whose sides do not match are told', () => {
    const { health } = build({
      positions: Float32Array.from([...CUT.slice(0, 12), ...CUT.slice(12), 10, 5, 0]),
      triangles: new Uint32Array([0, 1, 2, 0, 2, 3, 4, 5, 8, 4, 8, 6, 4, 6, 7]),
    });
    const cracks = health.findings.find(({ code }) => code === 'CRACKS');
    expect(cracks).toMatchObject({ severity: 'info', count: 3 });
    expect(health.components).toBe(2);
  });
});
