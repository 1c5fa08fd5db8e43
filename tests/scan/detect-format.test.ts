import { gzipSync, strToU8, zipSync } from 'fflate';
import { describe, expect, test } from 'vitest';
import { detectFormat } from '../../src/scan/detect-format.ts';
import {
  asciiStl,
  binaryStl,
  joined,
  TETRAHEDRON_SOUP,
  tetrahedronPly,
  text,
} from '../helpers/scan-files.ts';

const fault = (bytes: Uint8Array, name: string) => {
  try {
    return detectFormat(bytes, name);
  } catch (error) {
    return error;
  }
};

describe('which reader', () => {
  test('by the bytes, whatever the name says', () => {
    expect(detectFormat(binaryStl(TETRAHEDRON_SOUP), 'scan.ply')).toBe('stl-binary');
    expect(detectFormat(tetrahedronPly(), 'scan.stl')).toBe('ply');
    expect(detectFormat(text(asciiStl(TETRAHEDRON_SOUP)), 'scan.obj')).toBe('stl-ascii');
  });

  test('a binary STL whose header begins with "solid" is known by its length', () => {
    expect(detectFormat(binaryStl(TETRAHEDRON_SOUP, { header: 'solid facet normal' }), 'a.stl')).toBe(
      'stl-binary',
    );
  });

  test('a binary STL that begins with "solid" and is cut short is not taken for text', () => {
    const whole = binaryStl(TETRAHEDRON_SOUP, { header: 'solid something' });
    expect(detectFormat(whole.subarray(0, whole.length - 7), 'a.stl')).toBe('stl-binary');
  });

  test('a binary STL whose header looks like another format is known by its length', () => {
    expect(detectFormat(binaryStl(TETRAHEDRON_SOUP, { header: '{"made by": "x"}' }), 'a.stl')).toBe(
      'stl-binary',
    );
    expect(detectFormat(binaryStl(TETRAHEDRON_SOUP, { header: '<?xml' }), 'a.stl')).toBe('stl-binary');
  });

  test('upper case, a byte order mark and blank lines before "solid"', () => {
    const ascii = asciiStl(TETRAHEDRON_SOUP);
    expect(detectFormat(text(ascii.toUpperCase()), 'a')).toBe('stl-ascii');
    expect(detectFormat(text(`\ufeff${ascii}`), 'a')).toBe('stl-ascii');
    expect(detectFormat(text(`\r\n\r\n${ascii}`), 'a')).toBe('stl-ascii');
  });

  test('a damaged binary STL without the name is still known by its believable coordinates', () => {
    const bytes = joined(binaryStl(TETRAHEDRON_SOUP), new Uint8Array(7));
    expect(detectFormat(bytes, 'scan')).toBe('stl-binary');
  });
});

describe('which reader, when it is none', () => {
  test('an empty file', () => {
    expect(fault(new Uint8Array(0), 'a.stl')).toMatchObject({ code: 'FILE_EMPTY', kind: 'input' });
  });

  const obj = text('# made somewhere\no jaw\nv 0 0 0\nv 1 0 0\nv 0 1 0\nf 1 2 3\n');
  test.each([
    ['gzip', gzipSync(binaryStl(TETRAHEDRON_SOUP))],
    ['zip', zipSync({ 'scan.stl': binaryStl(TETRAHEDRON_SOUP) })],
    ['3mf', zipSync({ '3D/3dmodel.model': strToU8('<model/>') })],
    ['glb', joined(text('glTF'), new Uint8Array(200))],
    ['obj', obj],
    ['html', text('<!DOCTYPE html><html><body>404 Not found</body></html>')],
    ['html', text('\n<html>error</html>')],
    ['xml', text('<?xml version="1.0"?><model/>')],
    ['json', text('{ "jaw": "upper", "clicks": [] }')],
    ['off', text('OFF\n4 4 6\n0 0 0\n')],
    ['vtk', text('# vtk DataFile Version 3.0\nx\nASCII\n')],
    ['pdf', text('%PDF-1.7\n')],
    ['png', joined(new Uint8Array([0x89]), text('PNG\r\n'), new Uint8Array(100))],
    ['jpeg', new Uint8Array([0xff, 0xd8, 0xff, 0xe0, ...new Array(100).fill(7)])],
    ['dicom', joined(new Uint8Array(128), text('DICM'), new Uint8Array(60))],
    ['7z', new Uint8Array([0x37, 0x7a, 0xbc, 0xaf, 0x27, 0x1c, ...new Array(100).fill(7)])],
    ['xz', new Uint8Array([0xfd, 0x37, 0x7a, 0x58, 0x5a, 0, ...new Array(100).fill(7)])],
    ['zstd', new Uint8Array([0x28, 0xb5, 0x2f, 0xfd, ...new Array(100).fill(7)])],
    ['bzip2', text('BZh91AY&SY')],
    ['utf-16', new Uint8Array([0xff, 0xfe, 0x73, 0, 0x6f, 0, 0x6c, 0, 0x69, 0, 0x64, 0])],
    ['lfs', text('version https://git-lfs.github.com/spec/v1\noid sha256:00\nsize 5\n')],
    ['rar', text('Rar!\x1a\x07')],
  ])('%s is named in the sentence, also under the name of a scan', (format, bytes) => {
    for (const name of ['scan.stl', 'scan.ply']) {
      const error = fault(bytes, name);
      expect(error).toMatchObject({ code: 'FORMAT_UNSUPPORTED', kind: 'input', details: { format } });
      expect(String(error)).toMatch(/not an STL or PLY scan\. \w+/);
    }
  });

  test('plain text and random bytes are no scan', () => {
    const noise = Uint8Array.from({ length: 4000 }, (_, i) => (i * i * 31 + 7 * i) % 251);
    expect(fault(noise, 'scan.bin')).toMatchObject({ code: 'NOT_A_SCAN' });
    expect(fault(text('This is a letter about a scan.\n'.repeat(20)), 'letter.txt')).toMatchObject({
      code: 'NOT_A_SCAN',
    });
    expect(fault(text('short'), 'letter.txt')).toMatchObject({ code: 'NOT_A_SCAN' });
  });

  test('a text named .stl that does not begin with "solid" is not taken for a binary one cut short', () => {
    const facets =
      'facet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 1 0\nendloop\nendfacet\n';
    expect(() => detectFormat(text(`# made up\nsolid a\n${facets.repeat(3)}endsolid a\n`), 'a.stl')).toThrow(
      expect.objectContaining({ code: 'STL_SYNTAX', message: expect.stringContaining('begins with "#"') }),
    );
  });

  test('a file of zeros says so, and is not called a text', () => {
    expect(fault(new Uint8Array(5000), 'a.stl')).toMatchObject({
      code: 'NOT_A_SCAN',
      message: expect.stringContaining('nothing but zero bytes'),
    });
  });

  test('an STL shorter than its header says so', () => {
    expect(fault(binaryStl(TETRAHEDRON_SOUP).subarray(0, 83), 'a.stl')).toMatchObject({
      code: 'STL_TRUNCATED',
    });
  });
});
