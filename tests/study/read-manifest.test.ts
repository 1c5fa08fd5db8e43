import { describe, expect, it } from 'vitest';
import { readManifest } from '../../src/study/read-manifest.ts';

const names = (text: string) => readManifest(text).rows.map(({ name }) => name);

describe('readManifest', () => {
  it('reads what to measure and carries the rest through', () => {
    const { carried, rows } = readManifest(
      'id,scan,clicks,jaw,operator,remark\nm1,a/s.ply,a/c.json,Upper,A,"x, y"\n',
    );
    expect(carried).toEqual(['id', 'operator', 'remark']);
    expect(rows).toEqual([
      {
        number: 1,
        name: 'm1_Upper_A',
        scan: 'a/s.ply',
        clicks: 'a/c.json',
        listed: { scan: 'a/s.ply', clicks: 'a/c.json' },
        jaw: 'upper',
        cells: ['m1', 'A', 'x, y'],
        fault: null,
      },
    ]);
  });

  it('names rows by what tells them apart, in one order whatever the columns’', () => {
    expect(names('repeat,operator,scan,clicks,id\n1,A,s.ply,c.json,m1\n2,A,s.ply,c.json,m1\n')).toEqual([
      'm1_A_1',
      'm1_A_2',
    ]);
  });

  it('names rows without an id by their scan, and by its folder where scans are called alike', () => {
    expect(names('scan,clicks\nx/first.ply,c\ny\\First.stl,c\nfirst-2.ply,c\nx/first.ply,c\n')).toEqual([
      'x_first',
      'y_First',
      'first-2',
      'x_first-2',
    ]);
  });

  it('makes names that any file system takes', () => {
    const made = names('scan,clicks,id\ns,c,../../etc/passwd\ns,c,Müller: 1?\ns,c,口腔\ns,c,...\n');
    expect(made).toEqual(['etc-passwd', 'Muller-1', 'row', 'row-2']);
    const long = names(`scan,clicks,id\ns,c,${'a'.repeat(500)}\ns,c,${'a'.repeat(500)}b\n`);
    expect(new Set(long).size).toBe(2);
    for (const name of long) expect(name.length).toBeLessThanOrEqual(110);
  });

  it.each([
    ['no scan', 'scan,clicks\n,c.json\n', 'ROW_CELL_EMPTY'],
    ['no clicks', 'scan,clicks\ns.ply\n', 'ROW_CELL_EMPTY'],
    ['too many cells', 'scan,clicks\ns.ply,c.json,x\n', 'ROW_TOO_LONG'],
    ['a jaw of nobody', 'scan,clicks,jaw\ns.ply,c.json,middle\n', 'ROW_JAW_UNKNOWN'],
  ])('a row with %s carries its fault', (_, text, code) => {
    expect(readManifest(text).rows[0]!.fault?.code).toBe(code);
  });

  it.each([
    ['no column for the clicks', 'scan,id\ns.ply,m1\n'],
    ['no rows', 'scan,clicks\n'],
    ['a column that is a formula', 'scan,clicks,=1+1\ns,c,x\n'],
  ])('refuses a list with %s', (_, text) => {
    expect(() => readManifest(text)).toThrow(expect.objectContaining({ code: 'MANIFEST_INVALID' }));
  });

  it('names the columns that a refused list has: they may be called otherwise', () => {
    expect(() => readManifest('Scan;Klicks;id\ns.ply;c.json;m1\n')).toThrow(
      'no column scan, clicks; it has Scan, Klicks, id. Expected scan and clicks',
    );
    expect(() => readManifest(`${'x'.repeat(500)}\n1\n`)).toThrow(/it has x{199}…\. Expected/);
  });
});
