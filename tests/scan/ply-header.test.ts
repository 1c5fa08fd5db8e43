import { describe, expect, test } from 'vitest';
import { readPlyHeader } from '../../src/scan/ply-header.ts';
import { joined, meshLines, plyHeader, text } from '../helpers/scan-files.ts';

const LINES = meshLines('ascii', 4, 4);
const faultOf = (bytes: Uint8Array) => {
  try {
    return readPlyHeader(bytes);
  } catch (error) {
    return error;
  }
};

describe('PLY headers that are right', () => {
  test('elements, properties and where the body begins', () => {
    const bytes = joined(plyHeader(LINES), text('BODY'));
    const header = readPlyHeader(bytes);
    expect(header.encoding).toBe('ascii');
    expect(header.elements).toEqual([
      {
        name: 'vertex',
        count: 4,
        properties: ['x', 'y', 'z'].map((name) => ({ name, type: 'float32', countType: null })),
      },
      {
        name: 'face',
        count: 4,
        properties: [{ name: 'vertex_indices', type: 'int32', countType: 'uint8' }],
      },
    ]);
    expect(new TextDecoder().decode(bytes.subarray(header.bodyStart))).toBe('BODY');
  });

  test.each([
    ['LF', '\n'],
    ['CRLF', '\r\n'],
    ['CR', '\r'],
  ])('%s line ends: the body begins right behind the last one, whatever its first byte', (_, lineEnd) => {
    for (const first of [0, 10, 13, 65]) {
      const bytes = joined(plyHeader(LINES, lineEnd), new Uint8Array([first, 1, 2]));
      expect(readPlyHeader(bytes).bodyStart).toBe(bytes.length - 3);
    }
  });

  test('comments in UTF-8 and Latin-1 do not shift the body; they are kept for the unit', () => {
    const utf8 = text(
      'ply\nformat ascii 1.0\ncomment Zähne, 歯, units=mm\nelement vertex 1\nend_header\nBODY',
    );
    const latin = Uint8Array.from('ply\nformat ascii 1.0\ncomment Z\xe4hne \xb5\nend_header\nBODY', (c) =>
      c.charCodeAt(0),
    );
    for (const bytes of [utf8, latin]) expect(readPlyHeader(bytes).bodyStart).toBe(bytes.length - 4);
    expect(readPlyHeader(utf8).text).toContain('units=mm');
  });

  test('a byte order mark, trailing blanks, object information, any case, both families of type names', () => {
    const bytes = text(
      '\ufeffply  \nFORMAT ASCII 1.0\nobj_info made up\n\nelement Vertex 2 \nproperty Float64 X\nproperty double y\n' +
        'property uint8 a\nproperty char b\nproperty ushort c\nproperty list uint8 uint32 d\nend_header \n',
    );
    const header = readPlyHeader(bytes);
    expect(header.bodyStart).toBe(bytes.length);
    expect(header.elements[0]?.properties.map(({ name, type }) => `${name} ${type}`)).toEqual([
      'x float64',
      'y float64',
      'a uint8',
      'b int8',
      'c uint16',
      'd uint32',
    ]);
  });

  test('"end_header" within a comment does not end the header', () => {
    const bytes = plyHeader([...LINES, 'comment end_header is near']);
    expect(readPlyHeader(bytes).bodyStart).toBe(bytes.length);
  });
});

describe('PLY headers that are wrong', () => {
  test.each([
    ['an unknown format', ['format text 1.0'], 2],
    ['an unknown version', ['format ascii 2.0'], 2],
    ['two formats', ['format ascii 1.0', 'format ascii 1.0'], 3],
    ['a negative count', ['format ascii 1.0', 'element vertex -4'], 3],
    ['a count that is no whole number', ['format ascii 1.0', 'element vertex 4.5'], 3],
    ['a missing count', ['format ascii 1.0', 'element vertex'], 3],
    ['an element twice', ['format ascii 1.0', 'element vertex 1', 'element vertex 1'], 4],
    ['a property before any element', ['format ascii 1.0', 'property float x'], 3],
    ['an unknown type', ['format ascii 1.0', 'element vertex 1', 'property half x'], 4],
    ['a property twice', ['format ascii 1.0', 'element vertex 1', 'property float x', 'property float X'], 5],
    ['a list with a float count', ['format ascii 1.0', 'element face 1', 'property list float int v'], 4],
    ['a list without a name', ['format ascii 1.0', 'element face 1', 'property list uchar int'], 4],
    ['an unknown keyword', ['format ascii 1.0', 'elephant vertex 1'], 3],
  ])('%s, with its line', (_, lines, line) => {
    expect(faultOf(plyHeader(lines))).toMatchObject({ code: 'PLY_HEADER', kind: 'input', details: { line } });
  });

  test('two headers, one after the other', () => {
    for (const lineEnd of ['\n', '\r\n', '\r']) {
      const twice = joined(plyHeader(LINES, lineEnd), plyHeader(LINES, lineEnd), text('0 0 0\n'));
      expect(faultOf(twice)).toMatchObject({
        code: 'PLY_HEADER',
        message: expect.stringContaining('two headers'),
      });
    }
  });

  test('no format at all', () => {
    expect(faultOf(plyHeader(['element vertex 1']))).toMatchObject({ code: 'PLY_HEADER' });
  });

  test('no end, also in a file of many megabytes', () => {
    expect(faultOf(text('ply\nformat ascii 1.0\nelement vertex 4\n'))).toMatchObject({
      code: 'PLY_HEADER_UNFINISHED',
    });
    const long = joined(text('ply\n'), new Uint8Array(3_000_000).fill(65));
    expect(faultOf(long)).toMatchObject({ code: 'PLY_HEADER_UNFINISHED' });
    expect(faultOf(text('ply'))).toMatchObject({ code: 'PLY_HEADER_UNFINISHED' });
  });
});
