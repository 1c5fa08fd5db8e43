import { describe, expect, it } from 'vitest';
import { batchTables, failureLine, measuredLines, rowLine } from '../../src/report/batch-tables.ts';
import { writeContactsCsv } from '../../src/report/contacts-csv.ts';
import { threeSpaces } from '../helpers/make-analysis.ts';

const manifest = {
  number: 1,
  name: 'm1',
  scan: 'a.ply',
  clicks: 'a.json',
  listed: { scan: 'a.ply', clicks: 'a.json' },
  jaw: null,
  cells: ['=1+1', '-5'],
  fault: null,
};

describe('the tables of a batch', () => {
  it('put the row and the carried columns before the columns of a measurement', () => {
    const { contacts } = batchTables(['id', 'note', 'manifest_note']);
    expect(contacts.fields.slice(0, 6).map(({ name }) => name)).toEqual([
      'row',
      'id',
      'manifest_manifest_note',
      'manifest_note',
      'scan',
      'jaw',
    ]);
  });

  it('repeat the lines of a row’s own table, with numbers as they were and text disarmed', () => {
    const csv = writeContactsCsv(threeSpaces());
    const { contacts } = batchTables(['id', 'repeat']);
    const lines = measuredLines(contacts, manifest, csv).trimEnd().split('\n');
    const own = csv.trimEnd().split('\n').slice(1);
    expect(lines).toEqual(own.map((line) => `m1,"'=1+1",-5,${line}`));
    expect(own.some((line) => /,-\d/.test(line))).toBe(true);
  });

  it('refuse a table with other columns', () => {
    const { teeth } = batchTables(['id', 'repeat']);
    expect(() => measuredLines(teeth, manifest, 'a,b\n1,2\n')).toThrow(
      expect.objectContaining({ code: 'ROW_TABLE_ODD' }),
    );
  });

  it('say of a failed row why, and nothing else', () => {
    const failed = { manifest, fault: { code: 'NO', sentence: 'No, "never".' }, result: null };
    expect(rowLine(failed)).toBe('m1,"\'=1+1",-5,a.ply,a.json,,failed,NO,,,,,,,,\n');
    expect(failureLine(failed)).toBe('m1,"\'=1+1",-5,a.ply,a.json,NO,"No, ""never""."\n');
    expect(failureLine({ ...failed, fault: null })).toBe('');
  });
});
