import { expect, test } from 'vitest';
import { ArchgapError } from '../../src/geometry/archgap-error.ts';
import { runAtOnce } from '../../src/geometry/steps.ts';
import { buildScan } from '../../src/scan/build-scan.ts';
import { openReader } from '../../src/scan/read-scan.ts';
import type { Scan } from '../../src/scan/types.ts';
import { seededRandom } from '../helpers/random.ts';
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

const MUTANTS_PER_DIALECT = 3000;

/** Whole numbers from 0 to below the argument. */
function seeded(seed: number): (below: number) => number {
  const random = seededRandom(seed);
  return (below) => Math.floor(random() * below);
}

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

const DIALECTS: readonly (readonly [string, Uint8Array])[] = [
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

/** Numbers and words that break readers. */
const TOKENS = [
  '-1',
  '0',
  '4294967295',
  '4294967296',
  '18446744073709551616',
  '1e999',
  'nan',
  '-inf',
  '1.#QNAN',
  '',
  ' ',
  '\n',
  '\r\n',
  '\0',
  'list',
  'float',
  'double',
  'uchar',
  'char',
  'end_header',
  'element face 3',
  'property list uchar int vertex_indices',
  'endsolid',
  'solid',
  'facet',
  'vertex',
  'ply',
  '0x7f',
  '1,5',
  '255',
  '256',
  '3',
  '4',
  '\ufeff',
  'PK\x03\x04',
  '9'.repeat(400),
];

function mutate(bytes: Uint8Array, random: (below: number) => number): Uint8Array {
  let mutant = bytes;
  for (let round = 0; round <= random(4); round++) {
    const at = random(mutant.length + 1);
    const length = random(Math.min(40, mutant.length - at + 1));
    const [head, tail] = [mutant.subarray(0, at), mutant.subarray(at)];
    const kind = random(8);
    if (kind === 0) mutant = head.slice();
    else if (kind === 1) mutant = joined(head, tail.subarray(length));
    else if (kind === 2)
      mutant = joined(head, mutant.subarray(random(mutant.length + 1)).subarray(0, length), tail);
    else if (kind === 3)
      mutant = joined(head, text(TOKENS[random(TOKENS.length)]!), tail.subarray(random(2) * length));
    else if (kind === 4) mutant = replaceNumber(mutant, random);
    else {
      mutant = mutant.slice();
      for (let i = 0; i <= random(3); i++) {
        const place = random(Math.max(1, mutant.length));
        if (kind === 5) mutant[place] = random(256);
        else if (kind === 6) mutant[place] = (mutant[place] ?? 0) ^ (1 << random(8));
        else mutant.fill([0, 0x7f, 0x80, 0xff][random(4)]!, place, place + 1 + random(4));
      }
    }
  }
  return mutant;
}

/** Exchanges one run of digits for a hostile token. */
function replaceNumber(bytes: Uint8Array, random: (below: number) => number): Uint8Array {
  const latin = Array.from(bytes, (byte) => String.fromCharCode(byte)).join('');
  const runs = [...latin.matchAll(/\d+/g)];
  if (runs.length === 0) return bytes;
  const run = runs[random(runs.length)]!;
  const end = run.index + run[0].length;
  return joined(bytes.subarray(0, run.index), text(TOKENS[random(TOKENS.length)]!), bytes.subarray(end));
}

function expectSound(scan: Scan, fileBytes: number): void {
  const { positions, triangles } = scan;
  // No array may outgrow what the file's bytes can say.
  if (triangles.length > 3 * fileBytes || positions.length > 9 * fileBytes)
    throw new Error('more than the file holds');
  for (const value of positions)
    if (!Number.isFinite(value)) throw new Error('a coordinate that is no number');
  for (const index of triangles) if (index >= positions.length / 3) throw new Error('an index out of range');
  if (triangles.length === 0) throw new Error('a scan without triangles');
}

test.each(DIALECTS)('%s: the seed file itself is read', (_, bytes) => {
  const facts = { fileName: 'seed', byteLength: bytes.length, sha256: '', unit: 'mm' } as const;
  expectSound(runAtOnce(buildScan(runAtOnce(openReader(bytes, 'seed')), facts)), bytes.length);
});

test.each(DIALECTS)(
  `%s: ${MUTANTS_PER_DIALECT} mutants give a sound scan or a typed error`,
  (name, bytes) => {
    const random = seeded(name.length * 7919 + bytes.length);
    const codes = new Map<string, number>();
    for (let i = 0; i < MUTANTS_PER_DIALECT; i++) {
      const mutant = mutate(bytes, random);
      const fileName = ['scan.stl', 'scan.ply', 'scan'][random(3)]!;
      const facts = {
        fileName,
        byteLength: mutant.length,
        sha256: '',
        unit: random(2) === 0 ? null : 'mm',
      } as const;
      let outcome = 'read';
      try {
        expectSound(runAtOnce(buildScan(runAtOnce(openReader(mutant, fileName)), facts)), mutant.length);
      } catch (error) {
        if (!(error instanceof ArchgapError) || error.kind !== 'input') {
          const shown = Buffer.from(mutant).toString('base64');
          throw new Error(`mutant ${i} of "${name}": ${String(error)}\n${shown}`, { cause: error });
        }
        outcome = error.code;
        if (!/^[A-Z].*[.]$/.test(error.message)) throw new Error(`not a sentence: ${error.message}`);
      }
      codes.set(outcome, (codes.get(outcome) ?? 0) + 1);
    }
    // The mutations must reach beyond the first check, and leave some files readable.
    expect(codes.size).toBeGreaterThan(4);
    expect(codes.get('read')).toBeGreaterThan(5);
  },
);
