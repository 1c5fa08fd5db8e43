import { describe, expect, it } from 'vitest';
import { besideResult, isResultName, resultPathOf } from '../../src/cli/result-beside.ts';
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

describe('resultPathOf', () => {
  it('takes a folder or the result itself', () => {
    expect(resultPathOf('study/p01', files)).toBe('study/p01/result.json');
    expect(resultPathOf('study/p01/scan-upper-result.json', files)).toBe('study/p01/scan-upper-result.json');
    expect([isResultName('p01/'), isResultName('result.json')]).toEqual([false, true]);
  });
});
