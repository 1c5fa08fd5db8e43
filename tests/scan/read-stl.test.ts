import { describe, expect, test } from 'vitest';
import { runAtOnce } from '../../src/geometry/steps.ts';
import { weldInSteps, weldSoup } from '../../src/geometry/weld.ts';
import type { RawMesh } from '../../src/scan/raw-mesh.ts';
import { openReader } from '../../src/scan/read-scan.ts';
import { readAsciiStl, readBinaryStl } from '../../src/scan/read-stl.ts';
import { asciiStl, binaryStl, facets, joined, pack, TETRAHEDRON_SOUP, text } from '../helpers/scan-files.ts';

const SOUP = [...TETRAHEDRON_SOUP];
const readBinary = (bytes: Uint8Array) => runAtOnce(readBinaryStl(bytes));
/** The coordinates of all corners of all triangles. */
const cornersOf = ({ positions, triangles }: RawMesh) =>
  Array.from(triangles!).flatMap((v) => [...positions.subarray(3 * v, 3 * v + 3)]);
const readAscii = (content: string) => runAtOnce(readAsciiStl(text(content)));
const faultOf = (read: () => unknown) => {
  try {
    read();
  } catch (error) {
    return error;
  }
  return 'no error';
};

describe('binary STL', () => {
  test('corners come out as they went in, three a triangle', () => {
    const raw = readBinary(binaryStl(SOUP));
    expect(cornersOf(raw)).toEqual(SOUP);
    expect(raw).toMatchObject({ format: 'stl-binary', colors: null, findings: [] });
  });

  test('corners at equal places are one point, numbered as met, with the corner that came first; no -0 is left', () => {
    const raw = readBinary(binaryStl([...SOUP.slice(0, 9), -0, 0, 0, 10, -0, 0, 0, 0, 10]));
    expect([...raw.triangles!]).toEqual([0, 1, 2, 0, 2, 3]);
    expect([...raw.firstCorner!]).toEqual([0, 1, 2, 5]);
    expect([...raw.positions].some((x) => Object.is(x, -0))).toBe(false);
  });

  test('read in several goes, it welds to what its loose corners weld to', () => {
    // More triangles than are read between two pauses, more points than the tables expect.
    const soup = Array.from({ length: 9 * 70_000 }, (_, i) => Math.fround(((i * 7919) % 99_991) / 16));
    const raw = readBinary(binaryStl(soup));
    const { triangles, firstCorner } = raw;
    const positions = raw.positions as Float32Array;
    const welded = runAtOnce(
      weldInSteps({ positions, triangles, colors: null, isDistinct: true, firstCorner: firstCorner! }),
    );
    expect(welded).toEqual(weldSoup(Float32Array.from(soup)));
    // The tables had to grow; what stays is no larger than it needs to be.
    for (const { buffer, byteLength } of [welded.positions, welded.vertexSource])
      expect(buffer.byteLength).toBeLessThan(1.2 * byteLength);
  });

  test('a few loose triangles keep all their corners, fewer than the tables begin with', () => {
    for (let triangles = 1; triangles <= 70; triangles++) {
      const soup = Array.from({ length: 9 * triangles }, (_, i) => Math.fround(i ** 1.5));
      expect(cornersOf(readBinary(binaryStl(soup)))).toEqual(soup);
      expect(weldSoup(Float32Array.from(readAscii(asciiStl(soup)).positions)).positions).toEqual(
        Float32Array.from(soup),
      );
    }
  });

  test('from a view that does not begin at its buffer, at an odd offset', () => {
    const shifted = joined(new Uint8Array(3), binaryStl(SOUP)).subarray(3);
    expect(cornersOf(readBinary(shifted))).toEqual(SOUP);
  });

  test('a header that begins with "solid" does not matter', () => {
    const bytes = binaryStl(SOUP, { header: 'solid made by nobody' });
    expect(cornersOf(runAtOnce(openReader(bytes, 'a.stl')))).toEqual(SOUP);
  });

  test('the header text is kept for the unit', () => {
    expect(readBinary(binaryStl(SOUP, { header: 'units=mm' })).headerText).toMatch(/^units=mm/);
  });

  test('attribute bytes are left aside', () => {
    const bytes = binaryStl(SOUP);
    for (let t = 0; t < 4; t++) bytes.fill(0xff, 84 + 50 * t + 48, 84 + 50 * t + 50);
    expect(cornersOf(readBinary(bytes))).toEqual(SOUP);
  });

  test('cut short in the middle of a triangle', () => {
    const bytes = binaryStl(SOUP);
    expect(faultOf(() => readBinary(bytes.subarray(0, bytes.length - 1)))).toMatchObject({
      code: 'STL_TRUNCATED',
      details: { promised: 4, held: 3 },
    });
  });

  test('a few bytes after the end are reported, the data is complete', () => {
    const raw = readBinary(joined(binaryStl(SOUP), new Uint8Array(13)));
    expect(cornersOf(raw)).toEqual(SOUP);
    expect(raw.findings).toMatchObject([{ code: 'TRAILING_BYTES', severity: 'warning', count: 13 }]);
  });

  test('zeros after the end are padding, also when they would make up whole triangles', () => {
    const raw = readBinary(joined(binaryStl(SOUP), new Uint8Array(100)));
    expect(cornersOf(raw)).toEqual(SOUP);
    expect(raw.findings).toMatchObject([{ code: 'TRAILING_BYTES', count: 100 }]);
  });

  test('whole triangles after the counted ones contradict the count', () => {
    expect(faultOf(() => readBinary(binaryStl(SOUP, { count: 3 })))).toMatchObject({
      code: 'STL_COUNT_MISMATCH',
      details: { promised: 3, held: 4 },
    });
  });

  test('a count of zero with data present is not an empty mesh', () => {
    expect(faultOf(() => readBinary(binaryStl(SOUP, { count: 0 })))).toMatchObject({
      code: 'STL_COUNT_MISMATCH',
    });
  });

  test('a count of zero without data', () => {
    expect(faultOf(() => readBinary(binaryStl([])))).toMatchObject({ code: 'NO_TRIANGLES' });
  });

  test('a count of four billion is refused without allocating', () => {
    const before = process.memoryUsage().arrayBuffers;
    expect(faultOf(() => readBinary(binaryStl(SOUP, { count: 4_294_967_295 })))).toMatchObject({
      code: 'STL_TRUNCATED',
      message: expect.stringContaining('4,294,967,295 triangles'),
    });
    expect(process.memoryUsage().arrayBuffers - before).toBeLessThan(10_000_000);
  });
});

describe('ASCII STL dialects', () => {
  test('as usually written', () => {
    const raw = readAscii(asciiStl(SOUP));
    expect([...raw.positions]).toEqual(SOUP);
    expect(raw).toMatchObject({ format: 'stl-ascii', triangles: null, findings: [] });
  });

  test.each([
    ['upper case', asciiStl(SOUP).toUpperCase()],
    ['CRLF', asciiStl(SOUP).replaceAll('\n', '\r\n')],
    ['CR', asciiStl(SOUP).replaceAll('\n', '\r')],
    ['tabs and blank lines', asciiStl(SOUP).replaceAll(' ', '\t').replaceAll('\n', '\n\n \n')],
    ['a byte order mark', `\ufeff${asciiStl(SOUP)}`],
    ['no line end at the end', asciiStl(SOUP).trimEnd()],
    ['no name', asciiStl(SOUP, '').replaceAll('solid \n', 'solid\n')],
    ['a long name in UTF-8', asciiStl(SOUP, 'Oberkiefer geprüft № 7, «außen»')],
    ['one long line', asciiStl(SOUP).replaceAll('\n', ' ')],
    ['one word a line', asciiStl(SOUP, '').replaceAll(/[ \n]+/g, '\n')],
    [
      'normals that are no numbers',
      asciiStl(SOUP).replaceAll('normal 0 0 0', 'normal nan -nan(ind) 1.#QNAN'),
    ],
    ['no normals', asciiStl(SOUP).replaceAll('facet normal 0 0 0', 'facet')],
    ['exponents', asciiStl(SOUP).replaceAll('vertex 10 0 0', 'vertex 1.000000e+01 0.0E-00 +0.')],
    ['"endsolid" in the name', asciiStl(SOUP, 'my endsolid part')],
    ['"facet" in the name', asciiStl(SOUP, 'the facet normal of a jaw')],
    ['"solid" as the name', asciiStl(SOUP, 'solid')],
    ['padding with NUL and ^Z at the end', `${asciiStl(SOUP)}\0\0\x1a`],
  ])('%s', (_, content) => {
    const raw = runAtOnce(openReader(text(content), 'a.stl'));
    expect([...raw.positions]).toEqual(SOUP);
    expect(raw.findings).toEqual([]);
  });

  test('several solids, the second one empty, are one surface', () => {
    const content = `${asciiStl(SOUP, 'a')}solid b\nendsolid b\n${asciiStl(SOUP, 'endsolid')}`;
    expect([...readAscii(content).positions]).toEqual([...SOUP, ...SOUP]);
  });

  test('a missing "endsolid" is reported', () => {
    const raw = readAscii(`solid test\n${facets(SOUP)}\n`);
    expect([...raw.positions]).toEqual(SOUP);
    expect(raw.findings).toMatchObject([{ code: 'STL_ENDSOLID_MISSING', severity: 'warning' }]);
  });

  test('text after "endsolid" is reported', () => {
    const raw = readAscii(`${asciiStl(SOUP)}made on a Monday`);
    expect(raw.findings).toMatchObject([{ code: 'TRAILING_BYTES', count: 16 }]);
  });

  test('64-bit coordinates are kept', () => {
    const raw = readAscii(asciiStl([123456.7890123, ...SOUP.slice(1)]));
    expect(raw.positions).toBeInstanceOf(Float64Array);
    expect(raw.positions[0]).toBe(123456.7890123);
  });

  test('more facets than the array was made for', () => {
    const short = '\nfacet\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 1 0\nendloop\nendfacet';
    expect(readAscii(`solid\n${short.repeat(400)}\nendsolid`).positions.length).toBe(9 * 400);
  });

  test('the solid line is kept for the unit', () => {
    expect(readAscii(asciiStl(SOUP, 'jaw units=cm')).headerText).toContain('units=cm');
  });
});

describe('ASCII STL faults', () => {
  const lines = asciiStl(SOUP).split('\n');

  test('cut short anywhere inside a facet, with the line', () => {
    for (let keep = 2; keep < 8; keep++) {
      const fault = faultOf(() => readAscii(lines.slice(0, keep).join('\n')));
      expect(fault).toMatchObject({ code: 'STL_TRUNCATED', details: { line: keep, held: 0 } });
    }
  });

  test('cut short in the middle of a word', () => {
    const content = asciiStl(SOUP);
    for (const word of ['endfacet', 'outer', 'vertex', 'endloop']) {
      const at = content.lastIndexOf(word) + 3;
      expect(faultOf(() => readAscii(content.slice(0, at)))).toMatchObject({
        code: 'STL_TRUNCATED',
        details: { held: 3 },
      });
    }
  });

  test('text where a number belongs, with the line', () => {
    const fault = faultOf(() => readAscii(asciiStl(SOUP).replace('vertex 0 10 0', 'vertex 0 ten 0')));
    expect(fault).toMatchObject({ code: 'STL_NUMBER', details: { line: 5 } });
    expect(String(fault)).toContain('"ten" on line 5');
  });

  test('a decimal comma', () => {
    expect(
      faultOf(() => readAscii(asciiStl(SOUP).replace('vertex 0 10 0', 'vertex 0 10,5 0'))),
    ).toMatchObject({
      code: 'STL_NUMBER',
    });
  });

  test('a coordinate missing', () => {
    expect(faultOf(() => readAscii(asciiStl(SOUP).replace('vertex 0 10 0', 'vertex 0 10')))).toMatchObject({
      code: 'STL_NUMBER',
      details: { line: 6 },
    });
  });

  test('a facet with two and one with four corners', () => {
    const two = asciiStl(SOUP).replace('    vertex 0 10 0\n', '');
    expect(faultOf(() => readAscii(two))).toMatchObject({
      code: 'STL_FACET_NOT_TRIANGLE',
      details: { line: 6 },
    });
    const four = asciiStl(SOUP).replace('    vertex 0 10 0\n', '    vertex 0 10 0\n    vertex 0 10 1\n');
    expect(faultOf(() => readAscii(four))).toMatchObject({ code: 'STL_FACET_NOT_TRIANGLE' });
  });

  test.each([
    ['a wrong word', asciiStl(SOUP).replace('outer loop', 'outer hoop')],
    ['a facet outside a solid', `${asciiStl(SOUP)}${facets(SOUP)}`],
    ['a word between facets', asciiStl(SOUP).replace('endfacet\n', 'endfacet\nhello\n')],
    ['a solid within a solid', asciiStl(SOUP).replace('endfacet\n', 'endfacet\nsolid x\n')],
  ])('%s', (_, content) => {
    expect(faultOf(() => readAscii(content))).toMatchObject({
      code: 'STL_SYNTAX',
      details: { line: expect.any(Number) },
    });
  });

  test('a solid without facets', () => {
    expect(faultOf(() => runAtOnce(openReader(text('solid x\nendsolid x\n'), 'a.stl')))).toMatchObject({
      code: 'NO_TRIANGLES',
    });
    expect(faultOf(() => runAtOnce(openReader(text('solid'), 'a.stl')))).toMatchObject({
      code: 'NO_TRIANGLES',
    });
  });
});

test('a binary header of 84 bytes and nothing more holds no triangles', () => {
  const bytes = joined(new Uint8Array(80), pack([['u32', 0]]));
  expect(faultOf(() => runAtOnce(openReader(bytes, 'a.stl')))).toMatchObject({ code: 'NO_TRIANGLES' });
});
