import { expect, it } from 'vitest';
import { alikeSentences } from '../../src/report/alike-tables.ts';

it('names every table that is the same as an earlier one, with the first of them', () => {
  const tables = ['x', 'y', 'x', 'x'].map((sha256, k) => ({ name: `t${k}.csv`, sha256 }));
  expect(alikeSentences(tables)).toEqual([
    't0.csv and t2.csv are the same byte for byte. If one is a copy of the other, their agreement says nothing.',
    't0.csv and t3.csv are the same byte for byte. If one is a copy of the other, their agreement says nothing.',
  ]);
  expect(alikeSentences(tables.slice(0, 2))).toEqual([]);
});
