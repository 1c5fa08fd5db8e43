import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import Ajv from 'ajv';
import Papa from 'papaparse';
import { beforeAll, describe, expect, it } from 'vitest';
import { writePly } from '../../fixtures/write-ply.ts';
import { runCli } from '../../src/cli/run-cli.ts';
import { type MemoryWorld, makeMemoryWorld } from '../helpers/memory-io.ts';
import { joined } from '../helpers/scan-files.ts';
import { smallArch } from '../helpers/small-arch.ts';

/** Four upper incisors: 12-11 0.08 (bridged), 11-21 0.50 (open), 21-22 closed. */
let scan: Uint8Array;
let clicks: string;
beforeAll(() => {
  const arch = smallArch();
  scan = writePly(arch);
  clicks = JSON.stringify(arch.clicks);
}, 120_000);

const MANIFEST = `scan,clicks,jaw,id,operator,repeat,note
s.ply,c.json,upper,m1,A,1,=cmd
s.ply,c.json,lower,m1,A,2,
none.ply,c.json,,m1,B,1,
s.ply,c.json,,m1,B,2,-3
`;

function world(manifest = MANIFEST): MemoryWorld {
  return makeMemoryWorld({ 'in/m.csv': manifest, 'in/s.ply': scan, 'in/c.json': clicks });
}

function run(w: MemoryWorld, out: string, ...more: string[]): Promise<number> {
  return runCli(['batch', 'in/m.csv', ...more, '--out', out], w.io);
}

function text(w: MemoryWorld, path: string): string {
  return new TextDecoder().decode(w.files.get(`/here/${path}`));
}

function table(w: MemoryWorld, path: string): Record<string, string>[] {
  return Papa.parse<Record<string, string>>(text(w, path).trimEnd(), { header: true }).data;
}

/** Path below a folder to content, for comparing folders. */
function below(w: MemoryWorld, folder: string): Record<string, string> {
  const entries = [...w.files].filter(([path]) => path.startsWith(`/here/${folder}/`));
  return Object.fromEntries(
    entries
      .map(([path, bytes]) => [
        path.slice(`/here/${folder}/`.length),
        createHash('sha256').update(bytes).digest('hex'),
      ])
      .sort(),
  );
}

describe('archgap batch', () => {
  let w: MemoryWorld;
  beforeAll(async () => {
    w = world();
    expect(await run(w, 'o')).toBe(1);
  }, 120_000);

  it('measures the good rows, lists the bad ones, ends with 1', () => {
    expect(w.stderr()).toBe('');
    expect(w.stdout()).toContain('4 scans: 2 measured, 0 unchanged since before, 2 failed.');
    expect(w.stdout()).toContain('m1_B_1: FILE_NOT_FOUND: There is no file "none.ply"');
    expect(table(w, 'o/failures.csv').map((row) => [row.row, row.code])).toEqual([
      ['m1_lower_A_2', 'JAW_DISAGREES'],
      ['m1_B_1', 'FILE_NOT_FOUND'],
    ]);
    expect(table(w, 'o/rows.csv').map((row) => [row.row, row.outcome, row.contacts])).toEqual([
      ['m1_upper_A_1', 'done', '3'],
      ['m1_lower_A_2', 'failed', ''],
      ['m1_B_1', 'failed', ''],
      ['m1_B_2', 'done', '3'],
    ]);
  });

  it('gives one table of all contacts, the manifest’s columns before it', () => {
    const rows = table(w, 'o/contacts.csv');
    expect(rows.map((row) => [row.row, row.id, row.operator, row.tooth_a, row.status])).toEqual([
      ['m1_upper_A_1', 'm1', 'A', '12', 'bridged'],
      ['m1_upper_A_1', 'm1', 'A', '11', 'open'],
      ['m1_upper_A_1', 'm1', 'A', '21', 'bridged'],
      ['m1_B_2', 'm1', 'B', '12', 'bridged'],
      ['m1_B_2', 'm1', 'B', '11', 'open'],
      ['m1_B_2', 'm1', 'B', '21', 'bridged'],
    ]);
    expect([rows[0]!.manifest_note, rows[3]!.manifest_note]).toEqual(["'=cmd", '-3']);
    expect(rows[0]!.gap_mm).toBe('');
  });

  it('gives every row what measure would give it, but an undated record', async () => {
    const alone = world();
    await runCli(['measure', 'in/s.ply', '--clicks', 'in/c.json', '--out', 'x'], alone.io);
    const single = below(alone, 'x');
    const row = below(w, 'o/results/m1_upper_A_1');
    for (const name of ['contacts.csv', 'teeth.csv', 'result.json', 'labelled.ply'])
      expect([name, row[name]]).toEqual([name, single[name]]);
    expect(text(w, 'o/results/m1_upper_A_1/report.html')).toContain('undated');
  });

  it('is a data package by the standard’s own schema, with true sizes and checksums', () => {
    const { $schema: _, ...schema } = JSON.parse(
      readFileSync(new URL('../reference/data-package/tabular-data-package.json', import.meta.url), 'utf8'),
    );
    // Draft 4; what differs from draft 7 (id, boolean exclusiveMinimum) is not used in it.
    const validate = new Ajv({
      strict: false,
      allErrors: true,
      formats: { uri: true, email: true, textarea: true, 'date-time': true },
    }).compile(schema);
    const document = JSON.parse(text(w, 'o/datapackage.json'));
    expect([validate(document), validate.errors]).toEqual([true, null]);
    expect(validate({ ...document, resources: [{ name: 'x' }] })).toBe(false);
    for (const { path, bytes, hash, schema: table_, name } of document.resources) {
      const content = w.files.get(`/here/o/${path}`)!;
      expect([name, bytes]).toEqual([name, content.length]);
      expect(hash).toBe(`sha256:${createHash('sha256').update(content).digest('hex')}`);
      const header = text(w, `o/${path}`).split('\n')[0];
      expect(header).toBe(table_.fields.map((field: { name: string }) => field.name).join());
    }
    expect(document.software).toEqual({ name: 'archgap', version: '0.1.0' });
    expect(document.settings.limit_mm).toBe(0.1);
  });

  it('has cells of the type, the choice and the key its schema says', () => {
    const { resources } = JSON.parse(text(w, 'o/datapackage.json'));
    for (const { path, schema } of resources) {
      const rows = table(w, `o/${path}`);
      for (const { name, type, constraints } of schema.fields) {
        for (const row of rows) {
          const cell = row[name]!;
          const at = `${path} ${name} "${cell}"`;
          if (cell === '') expect([at, constraints?.required ?? false]).toEqual([at, false]);
          else if (type === 'integer') expect([at, /^-?\d+$/.test(cell)]).toEqual([at, true]);
          else if (type === 'number') expect([at, Number.isFinite(Number(cell))]).toEqual([at, true]);
          if (cell !== '' && constraints?.enum) expect(constraints.enum).toContain(cell);
        }
      }
      const keys = rows.map((row) => schema.primaryKey.map((key: string) => row[key]).join('|'));
      expect(new Set(keys).size).toBe(rows.length);
    }
  });

  it('measures nothing again, and changes nothing, when nothing changed', async () => {
    const before = below(w, 'o');
    expect(await run(w, 'o')).toBe(1);
    expect(w.stdout()).toContain('4 scans: 0 measured, 2 unchanged since before, 2 failed.');
    expect(below(w, 'o')).toEqual(before);
  });

  it.each([
    [
      'the clicks',
      (x: MemoryWorld) => x.files.set('/here/in/c.json', new TextEncoder().encode(`${clicks}\n`)),
      [],
    ],
    ['the limit', () => {}, ['--limit', '0.2']],
    [
      'a result that was cut short',
      (x: MemoryWorld) => x.files.set('/here/o/results/s/teeth.csv', new Uint8Array(3)),
      [],
    ],
    [
      'a record that is broken',
      (x: MemoryWorld) => x.files.set('/here/o/results/s/row.json', new Uint8Array(3)),
      [],
    ],
    ['a result that was removed', (x: MemoryWorld) => x.files.delete('/here/o/results/s/result.json'), []],
  ])('measures again after a change of %s', async (_, change, more) => {
    const x = world('scan,clicks\ns.ply,c.json\n');
    expect(await run(x, 'o')).toBe(0);
    const before = below(x, 'o');
    change(x);
    expect(await run(x, 'o', ...more)).toBe(0);
    expect(x.stdout()).toContain('1 scan: 1 measured');
    expect(Object.keys(below(x, 'o'))).toEqual(Object.keys(before));
    expect(await run(x, 'o', ...more)).toBe(0);
    expect(x.stdout()).toContain('1 scan: 0 measured, 1 unchanged');
  });

  it('leaves no result of a good scan beside the fault of a bad one', async () => {
    const x = world('scan,clicks\ns.ply,c.json\n');
    await run(x, 'o');
    x.files.set('/here/in/s.ply', new Uint8Array(90));
    expect(await run(x, 'o')).toBe(1);
    expect(Object.keys(below(x, 'o/results/s'))).toEqual(['row.json']);
    expect(table(x, 'o/contacts.csv')).toEqual([]);
    expect(JSON.parse(text(x, 'o/results/s/row.json')).outcome).toBe('failed');
  });

  it('is put together from parts to the same bytes', async () => {
    const parts = world();
    for (const k of [1, 2, 3]) await run(parts, `p${k}`, '--part', `${k}/3`);
    // The scans need not be where the parts are put together.
    parts.files.delete('/here/in/s.ply');
    expect(await run(parts, 'all', '--merge', 'p3', 'p1', 'p2')).toBe(1);
    expect(parts.stdout()).toContain('4 scans: 2 taken over, 2 failed.');
    expect(below(parts, 'all')).toEqual(below(w, 'o'));
  });

  it('says which rows no part holds, and refuses parts that do not belong together', async () => {
    const parts = world('scan,clicks,id\ns.ply,c.json,a\ns.ply,c.json,b\n');
    await run(parts, 'p1', '--part', '1/2');
    expect(await run(parts, 'all', '--merge', 'p1')).toBe(1);
    expect(table(parts, 'all/failures.csv').map((row) => [row.row, row.code])).toEqual([
      ['b', 'ROW_IN_NO_PART'],
    ]);
    await run(parts, 'p2', '--part', '2/2', '--limit', '0.3');
    expect(await run(parts, 'all', '--merge', 'p1', 'p2')).toBe(3);
    expect(parts.stderr()).toMatch(/^archgap: PARTS_DISAGREE: /);
    parts.files.set('/here/p1/results/a/teeth.csv', new Uint8Array(2));
    expect(await run(parts, 'new', '--merge', 'p1')).toBe(3);
    expect(parts.stderr()).toContain('archgap: PART_DAMAGED: ');
  });

  it('refuses to put together what is no batch, and leaves the rows in its place as they were', async () => {
    const x = world();
    await run(x, 'o');
    const before = below(x, 'o');
    expect(await run(x, 'o', '--merge', 'mistyped')).toBe(3);
    expect(x.stderr()).toMatch(/^archgap: PART_NOT_A_BATCH: "mistyped" holds neither/);
    expect(below(x, 'o')).toEqual(before);
    // A part that was stopped before its end has no package yet, but rows.
    x.files.delete('/here/o/datapackage.json');
    expect(await run(x, 'all', '--merge', 'o')).toBe(1);
    expect(x.stdout()).toContain('4 scans: 2 taken over, 2 failed.');
  });

  it('refuses the folder of another study, beside a part of its own too, and changes nothing', async () => {
    const x = world('scan,clicks,id\ns.ply,c.json,p1\n');
    await run(x, 'study');
    const list = 'scan,clicks,id\ns.ply,c.json,a\ns.ply,c.json,b\n';
    x.files.set('/here/in/m.csv', new TextEncoder().encode(list));
    await run(x, 'o');
    const before = below(x, 'o');
    expect(await run(x, 'o', '--merge', 'study')).toBe(3);
    expect(x.stderr()).toMatch(
      /^archgap: PART_OF_ANOTHER_LIST: "study" is the folder of another list: it holds p1 and not one row of this list \(a, b\)\./,
    );
    expect(below(x, 'o')).toEqual(before);
    expect(await run(x, 'new', '--merge', 'o', 'study')).toBe(3);
    expect(below(x, 'new')).toEqual({});
  });

  it('refuses the folder of another study whose rows are called alike, and changes nothing', async () => {
    const x = world('scan,clicks,id\ns.ply,c.json,p1\n');
    await run(x, 'study');
    x.files.set('/here/in/t.ply', scan);
    x.files.set('/here/in/m.csv', new TextEncoder().encode('scan,clicks,id\nt.ply,c.json,p1\n'));
    await run(x, 'o');
    const before = below(x, 'o');
    expect(await run(x, 'o', '--merge', 'study')).toBe(3);
    expect(x.stderr()).toContain(
      'archgap: PART_OF_ANOTHER_LIST: "study" is the folder of another list: its row p1 was measured on s.ply, in this list it is t.ply.',
    );
    expect(below(x, 'o')).toEqual(before);
  });

  it('refuses the folder of another study whose rows and scans are called alike, and changes nothing', async () => {
    const x = world('scan,clicks,id\ns.ply,c.json,p1\n');
    await run(x, 'study');
    x.files.set('/here/in/s.ply', joined(scan, new Uint8Array(1)));
    await run(x, 'o');
    const before = below(x, 'o');
    expect(await run(x, 'o', '--merge', 'study')).toBe(3);
    expect(x.stderr()).toMatch(
      /archgap: ROW_OF_TWO_SCANS: "study" has row p1 of s\.ply \(.*Nothing was changed\.\n$/,
    );
    expect(below(x, 'o')).toEqual(before);
    // Where the scan is not here, only the name tells whose it is.
    x.files.delete('/here/in/s.ply');
    expect(await run(x, 'o', '--merge', 'study')).toBe(0);
    expect(x.stdout()).toContain('Note SCANS_NOT_HERE: 1 row was taken over by name');
    expect(x.stdout()).not.toContain('SCANS_NOT_READ');
  });

  it('merges although a scan of the list cannot be read, and says which', async () => {
    const x = world('scan,clicks,id\ns.ply,c.json,p1\n');
    await run(x, 'part');
    x.files.delete('/here/in/s.ply');
    x.folders.add('/here/in/s.ply');
    expect(await run(x, 'o', '--merge', 'part')).toBe(0);
    expect(x.stdout()).toContain(
      'Note SCANS_NOT_READ: 1 row was taken over by name, for the scans of the list cannot be read to be compared with; check that the folders are of this study.\n  p1: "/here/in/s.ply" is a folder; name the file in it.\n',
    );
    expect(x.stdout()).not.toContain('SCANS_NOT_HERE');
    expect(table(x, 'o/rows.csv')).toHaveLength(1);
  });

  it('finds files of a list written under Windows, and tells them as lists of other machines do', async () => {
    const x = world('scan,clicks,id\nsub\\s.ply,sub\\c.json,a\n');
    x.files.set('/here/in/sub/s.ply', scan);
    x.files.set('/here/in/sub/c.json', new TextEncoder().encode(clicks));
    expect(await run(x, 'o')).toBe(0);
    expect(table(x, 'o/rows.csv')[0]).toMatchObject({ scan: 'sub/s.ply', clicks: 'sub/c.json' });
    expect(table(x, 'o/contacts.csv')[0]).toMatchObject({ scan: 's.ply' });
    // Where a name may hold a backslash, that file is meant.
    x.files.set('/here/in/sub\\s.ply', new Uint8Array(90));
    expect(await run(x, 'o')).toBe(1);
  });

  it('takes a part that had no row, as of more parts than rows', async () => {
    const x = world('scan,clicks,id\ns.ply,c.json,a\n');
    await run(x, 'p1', '--part', '1/2');
    await run(x, 'p2', '--part', '2/2');
    expect(await run(x, 'all', '--merge', 'p2', 'p1')).toBe(0);
    expect(x.stdout()).toContain('1 scan: 1 taken over, 0 failed.');
  });

  it('stopped, keeps the rows that are done and goes on from there', async () => {
    const x = world();
    let pauses = 0;
    x.onPause = () => {
      pauses += 1;
      if (x.files.has('/here/o/results/m1_upper_A_1/row.json')) x.stop.abort();
    };
    expect(await run(x, 'o', '--jobs', '1')).toBe(130);
    expect(pauses).toBeGreaterThan(5);
    expect(x.stderr()).toContain('archgap: CANCELLED: The batch was stopped after');
    expect([...x.files.keys()].filter((path) => path.endsWith('.part'))).toEqual([]);
    expect(x.files.has('/here/o/contacts.csv')).toBe(false);
    const again = makeMemoryWorld(Object.fromEntries(x.files));
    expect(await run(again, 'o')).toBe(1);
    expect(again.stdout()).toContain('1 measured, 1 unchanged since before');
    expect(below(again, 'o')).toEqual(below(w, 'o'));
  });

  it('stops when the disk is full, and leaves nothing that looks whole', async () => {
    const x = world();
    x.onPause = () => {
      x.failWrites = 'ENOSPC';
    };
    expect(await run(x, 'o')).toBe(3);
    expect(x.stderr()).toMatch(/^archgap: DISK_FULL: /);
    const left = Object.keys(below(x, 'o')).filter((path) => !path.endsWith('/row.json'));
    expect(left).toEqual([]);
  });

  it('says what is done when the disk is full later on: of three scans two had failed, which left nothing whole', async () => {
    const x = world();
    x.onPause = () => {
      if ([...x.files.keys()].some((path) => path.endsWith('/row.json'))) x.failWrites = 'ENOSPC';
    };
    expect(await run(x, 'o', '--jobs', '1')).toBe(3);
    expect(x.stderr()).toMatch(
      /^archgap: DISK_FULL: .*; free some space\. The scan done before is whole in its folder; the same command goes on from there\.\n$/,
    );
  });

  it('tells the folder that a renamed row leaves, and keeps it', async () => {
    const x = world('scan,clicks,id\ns.ply,c.json,first\ns.ply,c.json,second\n');
    expect(await run(x, 'o', '--part', '1/2')).toBe(0);
    expect(await run(x, 'o', '--part', '2/2')).toBe(0);
    // The other part's folder is that of a row of the list.
    expect(x.stdout()).not.toContain('FOLDERS_OF_NO_ROW');
    const before = below(x, 'o/results/first');
    x.files.set(
      '/here/in/m.csv',
      new TextEncoder().encode('scan,clicks,id\ns.ply,c.json,renamed\ns.ply,c.json,second\n'),
    );
    expect(await run(x, 'o')).toBe(0);
    expect(x.stdout()).toContain(
      'Note FOLDERS_OF_NO_ROW: o/results holds a folder of no row of the list: first. A row that is renamed or taken out leaves its folder;',
    );
    expect(below(x, 'o/results/first')).toEqual(before);
    expect(table(x, 'o/rows.csv').map(({ row }) => row)).toEqual(['renamed', 'second']);
  });

  it('looks for files beside the manifest first, then in the current folder', async () => {
    const x = makeMemoryWorld({
      'in/m.csv': 'scan,clicks\nin/s.ply,c.json\n',
      'in/s.ply': scan,
      'in/c.json': clicks,
    });
    expect(await run(x, 'o')).toBe(0);
  });

  it('looks for an absolute path there alone, however the tables write it', async () => {
    // Written from the list they are a.ply and ../gone/b.ply: files that are called so from here are other ones.
    const x = makeMemoryWorld({
      'in/m.csv': 'scan,clicks\n/here/in/a.ply,c.json\n/here/gone/b.ply,c.json\n',
      'in/c.json': clicks,
      'a.ply': scan,
      '../gone/b.ply': scan,
    });
    expect(await run(x, 'o')).toBe(1);
    expect(table(x, 'o/failures.csv').map((row) => [row.scan, row.code])).toEqual([
      ['a.ply', 'FILE_NOT_FOUND'],
      ['../gone/b.ply', 'FILE_NOT_FOUND'],
    ]);
  });

  it.each([
    ['no folder', ['batch', 'in/m.csv'], 'OPTION_MISSING'],
    ['standard output', ['batch', 'in/m.csv', '--out', '-'], 'OUT_NOT_A_FOLDER'],
    ['no jobs', ['batch', 'in/m.csv', '--out', 'o', '--jobs', '0'], 'OPTION_INVALID'],
    ['a part of nothing', ['batch', 'in/m.csv', '--out', 'o', '--part', '3/2'], 'OPTION_INVALID'],
    [
      'jobs to merge',
      ['batch', 'in/m.csv', '--out', 'o', '--jobs', '2', '--merge', 'p'],
      'MERGE_MEASURES_NOTHING',
    ],
    [
      'settings to merge',
      ['batch', 'in/m.csv', '--out', 'o', '--limit', '1', '--merge', 'p'],
      'MERGE_KEEPS_SETTINGS',
    ],
  ])('refuses %s', async (_, argv, code) => {
    const x = world();
    expect(await runCli(argv, x.io)).toBe(2);
    expect(x.stderr()).toMatch(new RegExp(`^archgap: ${code}: `));
    expect(Object.keys(below(x, 'o'))).toEqual([]);
  });

  it('tells on a terminal how far it is', async () => {
    const x = makeMemoryWorld(
      { 'in/m.csv': 'scan,clicks\ns.ply,c.json\nnone.ply,c.json\n', 'in/s.ply': scan, 'in/c.json': clicks },
      { terminal: true },
    );
    await run(x, 'o');
    expect(x.stderr()).toContain('0 of 2 scans');
    expect(x.stderr()).toMatch(/1 of 2 scans, 1 failed, about \d+ s left/);
  });
});
