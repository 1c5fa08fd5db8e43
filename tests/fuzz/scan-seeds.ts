import {
  asciiStl,
  binaryStl,
  f32,
  faceRecords,
  joined,
  meshLines,
  pack,
  plyHeader,
  TETRAHEDRON_ROWS,
  TETRAHEDRON_SOUP,
  tetrahedronPly,
  text,
  type Value,
  XYZ,
} from '../helpers/scan-files.ts';

const POINTS = [0, 0, 0, 10, 0, 0, 12, 8, 0, 5, 3, 0, -2, 8, 0];
const pentagon = (encoding: string) => {
  const lines = [
    `format ${encoding} 1.0`,
    'element vertex 5',
    ...XYZ.map((line) => line.replace('float', 'double')),
    'property float red',
    'property float green',
    'property float blue',
    'property list uchar short extra',
    'element edge 1',
    'property int a',
    'element face 3',
    'property uchar flags',
    'property list ushort uint vertex_indices',
  ];
  return plyHeader(lines);
};
const pentagonRecords: Value[][] = [
  ...[0, 1, 2, 3, 4].map((v): Value[] => [
    ...POINTS.slice(3 * v, 3 * v + 3).map((x): Value => ['f64', x]),
    ...f32(0.5, 1, 0),
    ['u8', v % 2],
    ...(v % 2 === 1 ? [['i16', 7] as const] : []),
  ]),
  [['i32', 4]],
  ...[
    [0, 1, 2, 3, 4],
    [0, 1, 2],
    [0, 1, 2, 3],
  ].map((face): Value[] => [['u8', 1], ['u16', face.length], ...face.map((v): Value => ['u32', v])]),
];
const pentagonText = pentagonRecords.map((record) => record.map(([, value]) => value).join(' ')).join('\n');

/** One small sound file of every dialect that the readers take. */
export const SCAN_SEEDS: readonly (readonly [string, Uint8Array])[] = [
  ['binary STL', binaryStl(TETRAHEDRON_SOUP)],
  ['binary STL that begins with solid', binaryStl(TETRAHEDRON_SOUP, { header: 'solid facet normal' })],
  ['ASCII STL', text(asciiStl(TETRAHEDRON_SOUP))],
  [
    'ASCII STL, CR, two solids',
    text(`${asciiStl(TETRAHEDRON_SOUP)}${asciiStl(TETRAHEDRON_SOUP)}`.replaceAll('\n', '\r')),
  ],
  ['ASCII PLY', joined(plyHeader(meshLines('ascii', 4, 4)), text(TETRAHEDRON_ROWS.join('\n')))],
  ['ASCII PLY, every feature', joined(pentagon('ascii'), text(pentagonText))],
  ['binary PLY, little-endian', tetrahedronPly(true)],
  [
    'binary PLY, big-endian, CRLF',
    joined(plyHeader(meshLines('binary_big_endian', 4, 4), '\r\n'), tetrahedronPly(false).slice(-100)),
  ],
  ['binary PLY, every feature', joined(pentagon('binary_little_endian'), pack(pentagonRecords.flat()))],
  [
    'binary PLY, several pieces',
    joined(
      plyHeader(meshLines('binary_little_endian', 5, 2)),
      pack([
        ...f32(...POINTS),
        ...faceRecords([
          [0, 1, 2],
          [0, 2, 4],
        ]),
      ]),
    ),
  ],
];
