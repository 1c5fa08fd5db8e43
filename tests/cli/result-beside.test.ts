import { describe, expect, it } from 'vitest';
import { besideResult, findResult } from '../../src/cli/result-beside.ts';
import type { ArchgapError } from '../../src/geometry/archgap-error.ts';
import { makeMemoryWorld } from '../helpers/memory-io.ts';

const { files } = makeMemoryWorld({}).io;

describe('besideResult', () => {
  it('finds the files of one measurement by the beginning that they share', () => {
    expect(besideResult('a/result.json', 'labelled.ply', files)).toBe('a/labelled.ply');
    expect(besideResult('result.json', 'plan.json', files)).toBe('plan.json');
    expect(besideResult('a b/scan-upper-result.json', 'labelled.ply', files)).toBe(
      'a b/scan-upper-labelled.ply',
    );
  });

  it('takes the plain name where a result is called otherwise', () => {
    expect(besideResult('a/upper.json', 'labelled.ply', files)).toBe('a/labelled.ply');
  });
});

describe('findResult', () => {
  const has = (...names: string[]) =>
    makeMemoryWorld(Object.fromEntries(names.map((name) => [name, '{}']))).io.files;

  it('takes the result itself, and of a folder its result.json whatever lies beside it', () => {
    expect(findResult('p01/scan-upper-result.json', files)).toBe('p01/scan-upper-result.json');
    expect(findResult('p01', has('p01/scan-upper-result.json', 'p01/result.json'))).toBe('p01/result.json');
  });

  it('takes the only result that is named as the page saves it', () => {
    const folder = has('p01/scan-upper-result.json', 'p01/scan-upper-labelled.ply', 'p01/plan.json');
    expect(findResult('p01', folder)).toBe('p01/scan-upper-result.json');
  });

  it('takes no file whose name only ends alike', () => {
    expect(() => findResult('p01', has('p01/oldresult.json'))).toThrow(
      expect.objectContaining({ code: 'FILE_NOT_FOUND' }),
    );
  });

  it.each([
    [
      'several of them',
      has('p01/b-lower-result.json', 'p01/a-upper-result.json'),
      'p01',
      /^EARLIER_AMBIGUOUS "p01" has no result\.json and 2 that the page saved: a-upper-result\.json, b-lower-result\.json\./,
    ],
    [
      'a folder of other files',
      has('p01/scan.ply', 'p01/upper/result.json'),
      'p01',
      /^FILE_NOT_FOUND "p01" holds neither result\.json, .* nor a file that ends in -result\.json, .*; found scan\.ply, upper\/\. /,
    ],
    ['a folder that is not there', has('a.ply'), 'p01', /^FILE_NOT_FOUND There is no file "p01"/],
    [
      'the scan in its place',
      has('a.ply'),
      'a.ply',
      /^EARLIER_NO_FOLDER "a\.ply" is a file, .* then the new scan\.$/,
    ],
  ])('refuses %s and says what it found', (_, world, earlier, said) => {
    let told = '';
    try {
      findResult(earlier, world);
    } catch (fault) {
      const { code, message } = fault as ArchgapError;
      told = `${code} ${message}`;
    }
    expect(told).toMatch(said);
  });
});
