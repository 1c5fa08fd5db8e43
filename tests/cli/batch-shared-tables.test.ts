import Papa from 'papaparse';
import { beforeAll, describe, expect, it } from 'vitest';
import { writePly } from '../../fixtures/write-ply.ts';
import { runCli } from '../../src/cli/run-cli.ts';
import { type MemoryWorld, makeMemoryWorld } from '../helpers/memory-io.ts';
import { smallArch } from '../helpers/small-arch.ts';

/** A list that says nothing of its rows but absolute paths, of scans of one name. */
const MANIFEST = `scan,clicks
/here/in/p01/s.ply,/here/in/p01/c.json
/here/in/p02/s.ply,/here/in/p02/c.json
/here/in/p03/none.ply,/here/in/p03/c.json
/elsewhere/s.ply,/elsewhere/c.json
`;

describe('tables of a batch, for others to read', () => {
  let w: MemoryWorld;
  beforeAll(async () => {
    const arch = smallArch();
    const scan = writePly(arch);
    const clicks = JSON.stringify(arch.clicks);
    w = makeMemoryWorld({
      'in/m.csv': MANIFEST,
      'in/p01/s.ply': scan,
      'in/p01/c.json': clicks,
      'in/p03/c.json': clicks,
      'in/p02/s.ply': scan,
      'in/p02/c.json': clicks,
      '/elsewhere/s.ply': scan,
      '/elsewhere/c.json': clicks,
    });
    expect(await runCli(['batch', 'in/m.csv', '--out', 'o'], w.io)).toBe(1);
  }, 120_000);

  const table = (name: string) =>
    Papa.parse<Record<string, string>>(new TextDecoder().decode(w.files.get(`/here/o/${name}`)).trimEnd(), {
      header: true,
    }).data;

  it('tells scans of one name apart', () => {
    const rows = table('contacts.csv');
    expect(new Set(rows.map(({ scan }) => scan))).toEqual(new Set(['s.ply']));
    expect(new Set(rows.map(({ row }) => row))).toEqual(new Set(['p01_s', 'p02_s', 'elsewhere_s']));
  });

  it('writes absolute paths as seen from the folder of the list, also of what lies elsewhere', () => {
    expect(table('rows.csv').map(({ scan, clicks }) => [scan, clicks])).toEqual([
      ['p01/s.ply', 'p01/c.json'],
      ['p02/s.ply', 'p02/c.json'],
      ['p03/none.ply', 'p03/c.json'],
      ['../../elsewhere/s.ply', '../../elsewhere/c.json'],
    ]);
  });

  it('names a failed row’s file in the same way', () => {
    const [failure] = table('failures.csv');
    expect(failure).toMatchObject({ row: 'none', scan: 'p03/none.ply', code: 'FILE_NOT_FOUND' });
    expect(failure!.sentence).toContain('"p03/none.ply"');
    expect(w.stdout()).not.toContain('/here/in');
  });
});
