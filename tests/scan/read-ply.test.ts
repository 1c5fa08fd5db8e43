import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { runAtOnce } from '../../src/geometry/steps.ts';
import { readPly } from '../../src/scan/read-ply.ts';
import {
  FACE_LIST,
  f32,
  faceRecords,
  joined,
  meshLines,
  pack,
  plyHeader,
  TETRAHEDRON,
  TETRAHEDRON_ROWS,
  tetrahedronPly,
  text,
  type Value,
  XYZ,
} from '../helpers/scan-files.ts';

const POSITIONS = [...TETRAHEDRON.positions];
const TRIANGLES = TETRAHEDRON.faces.flat();
const read = (...parts: Uint8Array[]) => runAtOnce(readPly(joined(...parts)));
const faultOf = (...parts: Uint8Array[]) => {
  try {
    return read(...parts);
  } catch (error) {
    return error;
  }
};
const rows = (lines: readonly string[], lineEnd = '\n') => text(lines.map((line) => line + lineEnd).join(''));
const ENCODINGS = ['ascii', 'binary_little_endian', 'binary_big_endian'] as const;

/** The same values as text or as bytes: one line per record. */
function body(encoding: (typeof ENCODINGS)[number], records: readonly (readonly Value[])[]): Uint8Array {
  if (encoding === 'ascii') return rows(records.map((record) => record.map(([, value]) => value).join(' ')));
  return pack(records.flat(), encoding === 'binary_little_endian');
}

const vertexRecords = (extra: (v: number) => readonly Value[] = () => []) =>
  [0, 1, 2, 3].map((v) => [...f32(...POSITIONS.slice(3 * v, 3 * v + 3)), ...extra(v)]);
const faces = (list: readonly (readonly number[])[] = TETRAHEDRON.faces) =>
  list.map((face) => faceRecords([face]));

describe('PLY dialects', () => {
  test.each([
    ['ascii', 'ply-ascii', joined(plyHeader(meshLines('ascii', 4, 4)), rows(TETRAHEDRON_ROWS))],
    ['binary little-endian', 'ply-binary-le', tetrahedronPly(true)],
    ['binary big-endian', 'ply-binary-be', tetrahedronPly(false)],
  ])('%s', (_, format, bytes) => {
    const raw = read(bytes);
    expect([...raw.positions]).toEqual(POSITIONS);
    expect([...raw.triangles!]).toEqual(TRIANGLES);
    expect(raw).toMatchObject({ format, colors: null, findings: [] });
  });

  test('from a view that does not begin at its buffer, at an odd offset', () => {
    const raw = read(joined(new Uint8Array(5), tetrahedronPly()).subarray(5));
    expect([...raw.positions]).toEqual(POSITIONS);
  });

  test.each(['\r\n', '\r'])('header and text lines that end with %j', (lineEnd) => {
    const ascii = read(plyHeader(meshLines('ascii', 4, 4), lineEnd), rows(TETRAHEDRON_ROWS, lineEnd));
    expect([...ascii.positions]).toEqual(POSITIONS);
    const values = [...f32(...POSITIONS), ...faceRecords(TETRAHEDRON.faces)];
    for (const format of ['binary_little_endian', 'binary_big_endian']) {
      const bytes = pack(values, format === 'binary_little_endian');
      const raw = read(plyHeader(meshLines(format, 4, 4), lineEnd), bytes);
      expect([...raw.positions]).toEqual(POSITIONS);
      expect([...raw.triangles!]).toEqual(TRIANGLES);
    }
  });

  test('a byte order mark and comments in UTF-8 and Latin-1 before binary data', () => {
    const lines = meshLines('binary_little_endian', 4, 4);
    const values = pack([...f32(...POSITIONS), ...faceRecords(TETRAHEDRON.faces)]);
    const utf8 = text(
      `\ufeffply\n${lines[0]}\ncomment Zähne und 歯\n${lines.slice(1).join('\n')}\nend_header\n`,
    );
    const latin = Uint8Array.from(
      `ply\n${lines[0]}\ncomment Z\xe4hne\n${lines.slice(1).join('\n')}\nend_header\n`,
      (c) => c.charCodeAt(0),
    );
    for (const header of [utf8, latin]) {
      const raw = read(header, values);
      expect([...raw.positions]).toEqual(POSITIONS);
      expect([...raw.triangles!]).toEqual(TRIANGLES);
    }
  });

  for (const encoding of ENCODINGS) {
    test(`${encoding}: extra properties, lists and elements, before, between and behind`, () => {
      const header = plyHeader([
        `format ${encoding} 1.0`,
        'element camera 1',
        'property list ushort float pose',
        'property uchar kind',
        'element vertex 4',
        'property list uchar short before',
        ...XYZ,
        'property float quality',
        'property list uchar double after',
        'property int vertices',
        'element edge 2',
        'property int vertex1',
        'property int vertex2',
        'element face 4',
        'property uchar flags',
        'property list uchar float texcoord',
        'property list uint ushort vertex_index',
        'property double area',
        'element nothing 7',
        'element material 1',
        'property list int int empty',
      ]);
      const records: Value[][] = [
        [
          ['u16', 2],
          ['f32', 0.5],
          ['f32', -0.5],
          ['u8', 9],
        ],
        ...[0, 1, 2, 3].map((v): Value[] => [
          ['u8', v],
          ...Array.from({ length: v }, (): Value => ['i16', -7]),
          ...f32(...POSITIONS.slice(3 * v, 3 * v + 3), 0.25),
          ['u8', 1],
          ['f64', v / 4],
          ['i32', -1],
        ]),
        [
          ['i32', 0],
          ['i32', 1],
        ],
        [
          ['i32', 2],
          ['i32', 3],
        ],
        ...TETRAHEDRON.faces.map((face, f): Value[] => [
          ['u8', 255],
          ['u8', f % 2],
          ...(f % 2 === 1 ? f32(0.125) : []),
          ['u32', 3],
          ...face.map((v): Value => ['u16', v]),
          ['f64', 50],
        ]),
        [['i32', 0]],
      ];
      const raw = read(header, body(encoding, records));
      expect([...raw.positions]).toEqual(POSITIONS);
      expect([...raw.triangles!]).toEqual(TRIANGLES);
      expect(raw.findings).toEqual([]);
    });

    test(`${encoding}: faces before vertices`, () => {
      const header = plyHeader([
        `format ${encoding} 1.0`,
        'element face 4',
        FACE_LIST,
        'element vertex 4',
        ...XYZ,
      ]);
      const raw = read(header, body(encoding, [...faces(), ...vertexRecords()]));
      expect([...raw.positions]).toEqual(POSITIONS);
      expect([...raw.triangles!]).toEqual(TRIANGLES);
    });

    test(`${encoding}: vertex colours as bytes`, () => {
      const header = plyHeader([
        `format ${encoding} 1.0`,
        'element vertex 4',
        ...XYZ,
        ...['red', 'green', 'blue', 'alpha'].map((name) => `property uchar ${name}`),
        'element face 4',
        FACE_LIST,
      ]);
      const color = (v: number): Value[] => [
        ['u8', 10 * v],
        ['u8', 255],
        ['u8', v],
        ['u8', 77],
      ];
      const raw = read(header, body(encoding, [...vertexRecords(color), ...faces()]));
      expect([...raw.colors!]).toEqual([0, 255, 0, 10, 255, 1, 20, 255, 2, 30, 255, 3]);
      expect([...raw.positions]).toEqual(POSITIONS);
    });

    test(`${encoding}: every scalar type for coordinates and corners`, () => {
      const coordinateTypes = ['char', 'uchar', 'short', 'ushort', 'int', 'uint', 'float', 'double'] as const;
      const cornerTypes = ['char', 'uchar', 'short', 'ushort', 'int', 'uint'] as const;
      const short = {
        char: 'i8',
        uchar: 'u8',
        short: 'i16',
        ushort: 'u16',
        int: 'i32',
        uint: 'u32',
        float: 'f32',
        double: 'f64',
      } as const;
      for (const type of coordinateTypes) {
        const corner = cornerTypes[coordinateTypes.indexOf(type) % cornerTypes.length]!;
        const header = plyHeader([
          `format ${encoding} 1.0`,
          'element vertex 4',
          ...['x', 'y', 'z'].map((name) => `property ${type} ${name}`),
          'element face 4',
          `property list ${corner} ${corner} vertex_indices`,
        ]);
        const vertices = [0, 1, 2, 3].map((v) =>
          POSITIONS.slice(3 * v, 3 * v + 3).map((x): Value => [short[type], x]),
        );
        const list = TETRAHEDRON.faces.map((face) => [3, ...face].map((x): Value => [short[corner], x]));
        const raw = read(header, body(encoding, [...vertices, ...list]));
        expect([...raw.positions]).toEqual(POSITIONS);
        expect([...raw.triangles!]).toEqual(TRIANGLES);
      }
    });
  }

  test('64-bit coordinates keep their digits', () => {
    const header = plyHeader([
      'format binary_little_endian 1.0',
      'element vertex 3',
      ...['x', 'y', 'z'].map((name) => `property double ${name}`),
      'element face 1',
      FACE_LIST,
    ]);
    const values = [123456.000123, 2, 3, 4, 5, 6, 7, 8, 1e-9];
    const raw = read(header, pack([...values.map((x): Value => ['f64', x]), ...faceRecords([[0, 1, 2]])]));
    expect([...raw.positions]).toEqual(values);
  });

  describe('colours that are not bytes', () => {
    const colored = (type: string, short: Value[0], values: readonly number[]) =>
      read(
        plyHeader([
          'format binary_little_endian 1.0',
          'element vertex 4',
          ...XYZ,
          ...['red', 'green', 'blue'].map((name) => `property ${type} ${name}`),
          'element face 4',
          FACE_LIST,
        ]),
        pack([
          ...vertexRecords((v) => values.slice(3 * v, 3 * v + 3).map((x) => [short, x] as const)).flat(),
          ...faceRecords(TETRAHEDRON.faces),
        ]),
      ).colors;

    test('floats from 0 to 1', () => {
      const colors = colored('float', 'f32', [0, 0.5, 1, 0.2, 0.25, 0.75, 1, 1, 1, 0, 0, 0]);
      expect([...colors!]).toEqual([0, 128, 255, 51, 64, 191, 255, 255, 255, 0, 0, 0]);
    });

    test('floats from 0 to 255', () => {
      const colors = colored('double', 'f64', [0, 128, 255, 1, 2, 3, 4, 5, 6, 300, -4, Number.NaN]);
      expect([...colors!]).toEqual([0, 128, 255, 1, 2, 3, 4, 5, 6, 255, 0, 0]);
    });

    test('16 bits are cut to 8', () => {
      const colors = colored('ushort', 'u16', [0, 65535, 32768, 257, 0, 0, 0, 0, 0, 0, 0, 0]);
      expect([...colors!].slice(0, 4)).toEqual([0, 255, 128, 1]);
    });
  });

  test('colours under their other name, diffuse_red', () => {
    const header = plyHeader([
      'format ascii 1.0',
      'element vertex 3',
      ...XYZ,
      ...['red', 'green', 'blue'].map((name) => `property uchar diffuse_${name}`),
      'element face 1',
      FACE_LIST,
    ]);
    const raw = read(header, rows(['0 0 0 1 2 3', '1 0 0 4 5 6', '0 1 0 7 8 9', '3 0 1 2']));
    expect([...raw.colors!]).toEqual([1, 2, 3, 4, 5, 6, 7, 8, 9]);
  });

  test('whole numbers written with a point, numbers over several lines', () => {
    const lines = [
      '0 0 0',
      '10',
      '0',
      '0',
      '0 10 0.0',
      '0 0 1e1',
      '3.0 0 2 1',
      '3 0',
      '1.0 3',
      '3 1 2 3',
      '3 2 0 3',
    ];
    const raw = read(plyHeader(meshLines('ascii', 4, 4)), rows(lines));
    expect([...raw.positions]).toEqual(POSITIONS);
    expect([...raw.triangles!]).toEqual(TRIANGLES);
  });
});

describe('PLY polygons', () => {
  const polygonFile = (
    points: readonly number[],
    list: readonly (readonly number[])[],
    encoding: (typeof ENCODINGS)[number],
  ) =>
    read(
      plyHeader(meshLines(encoding, points.length / 3, list.length)),
      body(encoding, [
        ...Array.from({ length: points.length / 3 }, (_, v) => f32(...points.slice(3 * v, 3 * v + 3))),
        ...faces(list),
      ]),
    );
  const areaOf = (positions: ArrayLike<number>, triangles: Uint32Array) => {
    let sum = 0;
    for (let i = 0; i < triangles.length; i += 3) {
      const [a, b, c] = [triangles[i]!, triangles[i + 1]!, triangles[i + 2]!];
      const x = (p: number) => positions[3 * p]!;
      const y = (p: number) => positions[3 * p + 1]!;
      sum += ((x(b) - x(a)) * (y(c) - y(a)) - (x(c) - x(a)) * (y(b) - y(a))) / 2;
    }
    return sum;
  };

  for (const encoding of ENCODINGS) {
    test(`${encoding}: triangles, quads, pentagons and a polygon of 255 corners in one file`, () => {
      const circle = Array.from({ length: 255 }, (_, i) => {
        const angle = (2 * Math.PI * i) / 255;
        return [20 * Math.cos(angle), 20 * Math.sin(angle), 0];
      }).flat();
      const whole = Array.from({ length: 255 }, (_, i) => i);
      const raw = polygonFile(circle, [[0, 1, 2], [0, 2, 4, 6], [0, 10, 20, 30, 40], whole], encoding);
      expect(raw.triangles!.length / 3).toBe(1 + 2 + 3 + 253);
      const exact = (n: number) => (n / 2) * 400 * Math.sin((2 * Math.PI) / n);
      expect(areaOf(raw.positions, raw.triangles!.subarray(3 * 6))).toBeCloseTo(exact(255), 3);
      expect(raw.findings).toMatchObject([{ code: 'POLYGONS_CUT', severity: 'info', count: 3 }]);
    });

    test(`${encoding}: a concave quad keeps its dent`, () => {
      const raw = polygonFile([0, 0, 0, 4, 4, 0, 0, 1, 0, -4, 4, 0], [[0, 1, 2, 3]], encoding);
      // Shoelace: 2 triangles of 0.5 * |(4,4) x (0,1)| = 2 each.
      expect(areaOf(raw.positions, raw.triangles!)).toBeCloseTo(4, 9);
      expect([...raw.triangles!].filter((v) => v === 0 || v === 2).length).toBe(4);
    });

    test(`${encoding}: a file of only pentagons loses none`, () => {
      const raw = polygonFile([0, 0, 0, 4, 0, 0, 5, 3, 0, 2, 5, 0, -1, 3, 0], [[0, 1, 2, 3, 4]], encoding);
      expect(areaOf(raw.positions, raw.triangles!)).toBeCloseTo(21, 9);
    });
  }

  test('faces with fewer than three corners are left out and counted', () => {
    const raw = polygonFile([...POSITIONS], [[], [1], [0, 1], [0, 1, 2]], 'binary_little_endian');
    expect([...raw.triangles!]).toEqual([0, 1, 2]);
    expect(raw.findings).toMatchObject([
      { code: 'FACES_WITHOUT_AREA_LEFT_OUT', severity: 'warning', count: 3 },
    ]);
  });

  test('a face that crosses itself is reported', () => {
    const raw = polygonFile([0, 0, 0, 4, 4, 0, 4, 0, 0, 0, 3, 0, -1, 3, 0], [[0, 1, 2, 3, 4]], 'ascii');
    expect(raw.findings).toContainEqual(
      expect.objectContaining({ code: 'POLYGONS_CROSSED', severity: 'warning', count: 1 }),
    );
  });
});

describe('PLY faults', () => {
  const whole = tetrahedronPly();
  const header = plyHeader(meshLines('binary_little_endian', 4, 4));
  const vertices = pack(f32(...POSITIONS));

  test('binary, cut short at every byte of the body', () => {
    for (let length = header.length; length < whole.length; length++) {
      expect(faultOf(whole.subarray(0, length))).toMatchObject({ code: 'PLY_TRUNCATED', kind: 'input' });
    }
  });

  test('text, cut short after every line', () => {
    for (let keep = 0; keep < 8; keep++) {
      const fault = faultOf(plyHeader(meshLines('ascii', 4, 4)), rows(TETRAHEDRON_ROWS.slice(0, keep)));
      expect(fault).toMatchObject({ code: 'PLY_TRUNCATED', details: { promised: 4, held: keep % 4 } });
    }
  });

  test.each(['ascii', 'binary_little_endian'])(
    '%s: counts of four billion are refused without allocating',
    (format) => {
      const before = process.memoryUsage().arrayBuffers;
      for (const [v, f] of [
        [4_294_967_295, 4],
        [4, 4_294_967_295],
        [4, 99_999_999_999_999],
      ] as const) {
        const data = format === 'ascii' ? rows(TETRAHEDRON_ROWS) : whole.subarray(header.length);
        const fault = faultOf(plyHeader(meshLines(format, v, f)), data);
        // With too many vertices, text runs into the face rows, whose fourth word has no place there.
        const code = format === 'ascii' && v > 4 ? 'PLY_LINE' : 'PLY_TRUNCATED';
        expect(fault).toMatchObject({ code });
      }
      expect(process.memoryUsage().arrayBuffers - before).toBeLessThan(10_000_000);
    },
  );

  test('four billion records of an element without properties take no time', () => {
    const lines = meshLines('binary_little_endian', 4, 4);
    const raw = read(plyHeader([...lines, 'element nothing 4294967295']), whole.subarray(header.length));
    expect([...raw.triangles!]).toEqual(TRIANGLES);
  });

  test('a list that claims four billion corners', () => {
    const lines = meshLines('binary_little_endian', 4, 1).map((line) =>
      line.replace('list uchar', 'list uint'),
    );
    const list = pack([
      ['u32', 4_294_967_295],
      ['i32', 0],
      ['i32', 1],
      ['i32', 2],
    ]);
    expect(faultOf(plyHeader(lines), vertices, list)).toMatchObject({ code: 'PLY_TRUNCATED' });
  });

  test('a list with a negative count', () => {
    const lines = meshLines('binary_little_endian', 4, 1).map((line) =>
      line.replace('list uchar', 'list char'),
    );
    const list = pack([
      ['i8', -3],
      ['i32', 0],
      ['i32', 1],
      ['i32', 2],
    ]);
    expect(faultOf(plyHeader(lines), vertices, list)).toMatchObject({
      code: 'PLY_LIST_COUNT',
      details: { record: 0 },
    });
    const textLines = meshLines('ascii', 1, 1).map((line) => line.replace('list uchar', 'list char'));
    expect(faultOf(plyHeader(textLines), rows(['0 0 0', '-3 0 1 2']))).toMatchObject({
      code: 'PLY_LIST_COUNT',
    });
  });

  test('a few bytes after the end are reported, the data is complete', () => {
    const raw = read(whole, new Uint8Array(5));
    expect([...raw.triangles!]).toEqual(TRIANGLES);
    expect(raw.findings).toMatchObject([{ code: 'TRAILING_BYTES', severity: 'warning', count: 5 }]);
    expect(read(whole, new Uint8Array(13 * 8)).findings).toMatchObject([
      { code: 'TRAILING_BYTES', count: 104 },
    ]);
  });

  test('zeros behind vertices are padding, more vertices contradict the count', () => {
    const lines = [
      'format binary_little_endian 1.0',
      'element face 4',
      FACE_LIST,
      'element vertex 4',
      ...XYZ,
    ];
    const data = joined(plyHeader(lines), pack(faceRecords(TETRAHEDRON.faces)), vertices);
    expect(read(data, new Uint8Array(24)).findings).toMatchObject([{ code: 'TRAILING_BYTES', count: 24 }]);
    expect(faultOf(data, pack(f32(1, 2, 3)))).toMatchObject({
      code: 'PLY_COUNT_MISMATCH',
      details: { element: 'vertex', promised: 4, held: 5 },
    });
  });

  test('whole faces after the counted ones contradict the count', () => {
    const fault = faultOf(plyHeader(meshLines('binary_little_endian', 4, 3)), whole.subarray(header.length));
    expect(fault).toMatchObject({ code: 'PLY_COUNT_MISMATCH', details: { promised: 3, held: 4 } });
    const fault2 = faultOf(plyHeader(meshLines('ascii', 4, 3)), rows(TETRAHEDRON_ROWS));
    expect(fault2).toMatchObject({ code: 'PLY_COUNT_MISMATCH', details: { line: 17 } });
  });

  test('a corner beyond the vertices, and a negative one', () => {
    for (const index of [4, 1000, -1, -2147483648]) {
      const list = faceRecords([
        [0, 1, 2],
        [0, index, 2],
      ]);
      const fault = faultOf(plyHeader(meshLines('binary_little_endian', 4, 2)), vertices, pack(list));
      expect(fault).toMatchObject({
        code: 'PLY_INDEX_OUT_OF_RANGE',
        details: { face: 1, index, vertices: 4 },
      });
      const ascii = rows([...TETRAHEDRON_ROWS.slice(0, 4), '3 0 1 2', `3 0 ${index} 2`]);
      expect(faultOf(plyHeader(meshLines('ascii', 4, 2)), ascii)).toMatchObject({
        code: 'PLY_INDEX_OUT_OF_RANGE',
      });
    }
  });

  test('a corner out of range in a face with fewer than three corners', () => {
    const fault = faultOf(
      plyHeader(meshLines('ascii', 4, 2)),
      rows([...TETRAHEDRON_ROWS.slice(0, 5), '1 9']),
    );
    expect(fault).toMatchObject({ code: 'PLY_INDEX_OUT_OF_RANGE' });
  });

  test('text where a number belongs, with the line', () => {
    const bad = TETRAHEDRON_ROWS.with(1, '10 zero 0');
    expect(faultOf(plyHeader(meshLines('ascii', 4, 4)), rows(bad))).toMatchObject({
      code: 'PLY_NUMBER',
      details: { line: 11 },
    });
    const comma = TETRAHEDRON_ROWS.with(1, '10,0 0 0');
    expect(faultOf(plyHeader(meshLines('ascii', 4, 4)), rows(comma))).toMatchObject({ code: 'PLY_NUMBER' });
  });

  test('a value missing from a line and one too many on it', () => {
    for (const row of ['10 0', '10 0 0 0']) {
      const fault = faultOf(plyHeader(meshLines('ascii', 4, 4)), rows(TETRAHEDRON_ROWS.with(1, row)));
      expect(fault).toMatchObject({ code: 'PLY_LINE', details: { line: row === '10 0' ? 12 : 11 } });
    }
  });

  test('a value that its type cannot hold', () => {
    for (const row of ['3 0 1.5 2', '300 0 1 2', '-1', '3 0 4294967295 2', '3 0 nan 2']) {
      const fault = faultOf(plyHeader(meshLines('ascii', 4, 4)), rows(TETRAHEDRON_ROWS.with(4, row)));
      expect(fault).toMatchObject({ code: 'PLY_VALUE_OUT_OF_RANGE', details: { line: 14 } });
    }
  });

  test('a polygon with more than 255 corners', () => {
    const lines = meshLines('binary_little_endian', 4, 1).map((line) =>
      line.replace('list uchar', 'list ushort'),
    );
    const list = pack([['u16', 256], ...Array.from({ length: 256 }, (_, i): Value => ['i32', i % 4])]);
    expect(faultOf(plyHeader(lines), vertices, list)).toMatchObject({
      code: 'PLY_FACE_TOO_LARGE',
      details: { face: 0, corners: 256 },
    });
  });

  test.each([
    ['no vertices', 'PLY_NO_VERTICES', ['format ascii 1.0', 'element face 1', FACE_LIST], ['3 0 1 2']],
    ['zero vertices', 'PLY_NO_VERTICES', meshLines('ascii', 0, 0), []],
    ['a point cloud', 'PLY_POINT_CLOUD', ['format ascii 1.0', 'element vertex 1', ...XYZ], ['0 0 0']],
    ['zero faces', 'PLY_POINT_CLOUD', meshLines('ascii', 1, 0), ['0 0 0']],
    ['only faces with two corners', 'NO_TRIANGLES', meshLines('ascii', 2, 1), ['0 0 0', '1 0 0', '2 0 1']],
    [
      'no coordinates',
      'PLY_NO_COORDINATES',
      ['format ascii 1.0', 'element vertex 1', ...XYZ.slice(0, 2), 'element face 1', FACE_LIST],
      ['0 0', '0'],
    ],
    [
      'coordinates as lists',
      'PLY_NO_COORDINATES',
      [
        'format ascii 1.0',
        'element vertex 1',
        ...XYZ.slice(0, 2),
        'property list uchar float z',
        'element face 1',
        FACE_LIST,
      ],
      ['0 0 0', '0'],
    ],
    [
      'faces without corners',
      'PLY_NO_CORNERS',
      ['format ascii 1.0', 'element vertex 1', ...XYZ, 'element face 1', 'property uchar red'],
      ['0 0 0', '7'],
    ],
    [
      'corners that are no whole numbers',
      'PLY_NO_CORNERS',
      [
        'format ascii 1.0',
        'element vertex 1',
        ...XYZ,
        'element face 1',
        'property list uchar float vertex_indices',
      ],
      ['0 0 0', '0'],
    ],
    [
      'triangle strips',
      'PLY_TRISTRIPS',
      ['format ascii 1.0', 'element vertex 3', ...XYZ, 'element tristrips 1', FACE_LIST],
      ['0 0 0', '1 0 0', '0 1 0', '3 0 1 2'],
    ],
  ])('%s', (_, code, lines, data) => {
    expect(faultOf(plyHeader(lines), rows(data))).toMatchObject({ code, kind: 'input' });
  });
});

describe('PLY round trips, as properties', () => {
  const coordinate = fc.float({ noNaN: true, noDefaultInfinity: true, min: -100, max: 100 });
  const mesh = fc.integer({ min: 3, max: 12 }).chain((n) =>
    fc.record({
      points: fc.array(fc.tuple(coordinate, coordinate, coordinate), { minLength: n, maxLength: n }),
      list: fc.array(fc.uniqueArray(fc.nat(n - 1), { minLength: 3, maxLength: 3 }), {
        minLength: 1,
        maxLength: 20,
      }),
    }),
  );

  test.each(ENCODINGS)('%s: what was written is read, number for number', (encoding) => {
    fc.assert(
      fc.property(mesh, ({ points, list }) => {
        const header = plyHeader(meshLines(encoding, points.length, list.length));
        const raw = read(header, body(encoding, [...points.map((p) => f32(...p)), ...faces(list)]));
        // Text of -0 is "0".
        const expected = points.flat().map((x) => (encoding === 'ascii' ? x + 0 : x));
        expect([...raw.positions]).toEqual(expected);
        expect([...raw.triangles!]).toEqual(list.flat());
      }),
      { seed: 41, numRuns: 150 },
    );
  });
});
