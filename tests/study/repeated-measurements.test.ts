import { describe, expect, it } from 'vitest';
import {
  type NamedTable,
  type RepeatedOptions,
  repeatedMeasurements,
} from '../../src/study/repeated-measurements.ts';

const ANY: RepeatedOptions = { value: null, target: null, by: null };
const read = (...texts: string[]) =>
  repeatedMeasurements(
    texts.map((text, k): NamedTable => ({ name: `t${k + 1}.csv`, text })),
    ANY,
  );

describe('repeatedMeasurements', () => {
  it('finds targets and occasions in the table of a batch', () => {
    const data = read(`row,id,operator,session,scan,jaw,tooth_a,tooth_b,status,gap_mm
r1,m1,A,1,s1.ply,upper,11,21,open,0.31
r1,m1,A,1,s1.ply,upper,21,22,bridged,
r2,m1,B,1,s2.ply,upper,11,21,open,0.33
r2,m1,B,1,s2.ply,upper,21,22,open,0.12
r3,m2,A,1,s3.ply,upper,11,21,open,0.5
`);
    expect([data.valueColumn, data.unit]).toEqual(['gap_mm', 'mm']);
    expect(data.targetColumns).toEqual(['id', 'jaw', 'tooth_a', 'tooth_b']);
    expect(data.occasionColumns).toEqual(['operator', 'session']);
    expect(data.occasions).toEqual([
      ['A', '1'],
      ['B', '1'],
    ]);
    expect(data.targets).toMatchObject([
      { label: 'm1 upper 11 21', values: [0.31, 0.33], reasons: ['', ''] },
      { label: 'm1 upper 21 22', values: [null, 0.12], reasons: ['bridged', ''] },
      { label: 'm2 upper 11 21', values: [0.5, null], reasons: ['', 'no row'] },
    ]);
  });

  it('takes tables for the occasions when nothing else tells them apart', () => {
    const table = (a: number, scan: string) => `scan,jaw,tooth_a,tooth_b,gap_mm\n${scan},upper,11,21,${a}\n`;
    const rescanned = read(table(0.3, 'one.ply'), table(0.4, 'two.ply'));
    expect(rescanned.occasionColumns).toEqual(['table']);
    expect(rescanned.targets).toMatchObject([
      { label: 'upper 11 21', values: [0.3, 0.4], reasons: ['', ''] },
    ]);
    expect([rescanned.scanColumn, rescanned.targets[0]!.scans]).toEqual(['scan', ['one.ply', 'two.ply']]);
    const several = (a: number) => `${table(a, 'one.ply')}two.ply,upper,11,21,${a + 1}\n`;
    expect(read(several(1), several(2)).targets.map(({ label }) => label)).toEqual([
      'one.ply upper 11 21',
      'two.ply upper 11 21',
    ]);
  });

  it('reads tables of spreadsheets with semicolons and decimal commas, and named columns', () => {
    const data = repeatedMeasurements([{ name: 'a', text: 'who;what;v\nA;x;0,5\nB;x;-0,25\n' }], {
      value: 'v',
      target: ['what'],
      by: ['who'],
    });
    expect(data.targets[0]!.values).toEqual([0.5, -0.25]);
    expect(data.unit).toBe('');
  });

  it.each([
    ['no known value', ['id,operator,x\na,A,1\na,B,2\n'], 'AGREEMENT_COLUMN_MISSING'],
    [
      'a value of one table only',
      ['id,operator,gap_mm\na,A,1\n', 'id,operator,x\na,B,2\n'],
      'AGREEMENT_COLUMN_MISSING',
    ],
    ['a number whose square is none', ['id,operator,gap_mm\na,A,1\na,B,1e200\n'], 'AGREEMENT_NOT_A_NUMBER'],
    ['a number beyond any measurement', ['id,operator,gap_mm\na,A,1\na,B,-1e16\n'], 'AGREEMENT_NOT_A_NUMBER'],
    ['text for a number', ['id,operator,gap_mm\na,A,1\na,B,wide\n'], 'AGREEMENT_NOT_A_NUMBER'],
    ['one target twice on one occasion', ['id,operator,gap_mm\na,A,1\na,A,2\na,B,2\n'], 'AGREEMENT_TWICE'],
    ['one occasion', ['id,operator,gap_mm\na,A,1\nb,A,2\n'], 'AGREEMENT_ONE_OCCASION'],
    [
      'mouths without an id',
      ['jaw,tooth_a,tooth_b,gap_mm\nupper,11,21,1\nupper,11,21,2\n'],
      'AGREEMENT_TWICE',
    ],
  ])('refuses %s', (_, texts, code) => {
    expect(() => read(...texts)).toThrow(expect.objectContaining({ code }));
  });

  it('says that different mouths want an id', () => {
    expect(() => read('jaw,tooth_a,tooth_b,gap_mm\nupper,11,21,1\nupper,11,21,2\n')).toThrow(
      /add a column id where they are of different mouths/,
    );
  });

  it('names the table that has no measurement, and what stands in its header line instead', () => {
    const good = 'id,operator,gap_mm\na,A,1\n';
    expect(() => read(good, 'tooth;point\n11;1 2 3\n')).toThrow(
      'Table t2.csv has no column gap_mm, mesiodistal_mm, value; its header line is tooth, point.',
    );
    expect(() => read(good, `${'x'.repeat(500)}\n1\n`)).toThrow(/header line is x{199}…\.$/);
    expect(() => read(good, 'id,operator,value\na,B,1\n')).toThrow(
      'No column gap_mm, mesiodistal_mm, value is in every table; all have id, operator.',
    );
  });
});
