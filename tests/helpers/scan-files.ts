/** Tiny hand-built files for reader tests, independent of the writers that ship with the fixtures. */

export const text = (content: string): Uint8Array => new TextEncoder().encode(content);

export const joined = (...parts: readonly Uint8Array[]): Uint8Array => {
  const bytes = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    bytes.set(part, at);
    at += part.length;
  }
  return bytes;
};

/** One value with its type: `['f32', 1.5]`. */
export type Value = readonly ['i8' | 'u8' | 'i16' | 'u16' | 'i32' | 'u32' | 'f32' | 'f64', number];

/** Values one after the other. */
export function pack(values: readonly Value[], littleEndian = true): Uint8Array {
  const size = values.reduce((sum, [type]) => sum + Number(type.slice(1)) / 8, 0);
  const view = new DataView(new ArrayBuffer(size));
  let at = 0;
  for (const [type, value] of values) {
    if (type === 'i8') view.setInt8(at, value);
    else if (type === 'u8') view.setUint8(at, value);
    else if (type === 'i16') view.setInt16(at, value, littleEndian);
    else if (type === 'u16') view.setUint16(at, value, littleEndian);
    else if (type === 'i32') view.setInt32(at, value, littleEndian);
    else if (type === 'u32') view.setUint32(at, value, littleEndian);
    else if (type === 'f32') view.setFloat32(at, value, littleEndian);
    else view.setFloat64(at, value, littleEndian);
    at += Number(type.slice(1)) / 8;
  }
  return new Uint8Array(view.buffer);
}

export const f32 = (...values: number[]): Value[] => values.map((value) => ['f32', value] as const);

/** A tetrahedron, counter-clockwise from outside; corner 0 at the origin, the others 10 along x, y, z. */
export const TETRAHEDRON = {
  positions: [0, 0, 0, 10, 0, 0, 0, 10, 0, 0, 0, 10],
  faces: [
    [0, 2, 1],
    [0, 1, 3],
    [1, 2, 3],
    [2, 0, 3],
  ],
} as const;

/** The corners of the tetrahedron's triangles, one triangle after the other: what an STL of it holds. */
export const TETRAHEDRON_SOUP: readonly number[] = TETRAHEDRON.faces.flatMap((face) =>
  face.flatMap((v) => TETRAHEDRON.positions.slice(3 * v, 3 * v + 3)),
);

/** A binary STL; normals and attributes zero. */
export function binaryStl(
  soup: readonly number[],
  options: { header?: string; count?: number } = {},
): Uint8Array {
  const head = new Uint8Array(80);
  head.set(text(options.header ?? 'binary').subarray(0, 80));
  const triangles = Array.from({ length: soup.length / 9 }, (_, t) =>
    pack([...f32(0, 0, 0, ...soup.slice(9 * t, 9 * t + 9)), ['u16', 0]]),
  );
  return joined(head, pack([['u32', options.count ?? soup.length / 9]]), ...triangles);
}

/** The facets of an ASCII STL, without the lines of the solid. */
export function facets(soup: readonly number[]): string {
  const lines: string[] = [];
  for (let t = 0; t < soup.length; t += 9) {
    lines.push('facet normal 0 0 0', '  outer loop');
    for (let k = t; k < t + 9; k += 3) lines.push(`    vertex ${soup.slice(k, k + 3).join(' ')}`);
    lines.push('  endloop', 'endfacet');
  }
  return lines.join('\n');
}

export const asciiStl = (soup: readonly number[], name = 'test'): string =>
  `solid ${name}\n${facets(soup)}\nendsolid ${name}\n`;

/** A PLY header from its lines between "ply" and "end_header". */
export const plyHeader = (lines: readonly string[], lineEnd = '\n'): Uint8Array =>
  text(['ply', ...lines, 'end_header', ''].join(lineEnd));

export const XYZ = ['property float x', 'property float y', 'property float z'];
export const FACE_LIST = 'property list uchar int vertex_indices';

/** Header lines of a mesh with float coordinates and int corner lists. */
export const meshLines = (format: string, vertices: number, faces: number): string[] => [
  `format ${format} 1.0`,
  `element vertex ${vertices}`,
  ...XYZ,
  `element face ${faces}`,
  FACE_LIST,
];

/** Corner lists as binary records: a one-byte count, 32-bit indices. */
export const faceRecords = (faces: readonly (readonly number[])[]): Value[] =>
  faces.flatMap((face) => [['u8', face.length] as const, ...face.map((v) => ['i32', v] as const)]);

/** The tetrahedron as a binary PLY. */
export function tetrahedronPly(littleEndian = true): Uint8Array {
  const format = littleEndian ? 'binary_little_endian' : 'binary_big_endian';
  const values = [...f32(...TETRAHEDRON.positions), ...faceRecords(TETRAHEDRON.faces)];
  return joined(plyHeader(meshLines(format, 4, 4)), pack(values, littleEndian));
}

/** The tetrahedron's rows of an ASCII PLY. */
export const TETRAHEDRON_ROWS = [
  '0 0 0',
  '10 0 0',
  '0 10 0',
  '0 0 10',
  ...TETRAHEDRON.faces.map((face) => `3 ${face.join(' ')}`),
];
