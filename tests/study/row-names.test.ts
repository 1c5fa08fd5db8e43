import { describe, expect, it } from 'vitest';
import { rowNames } from '../../src/study/row-names.ts';
import { seededRandom } from '../helpers/random.ts';

interface Told {
  readonly cells?: readonly string[];
  readonly id?: string;
  readonly clicks?: string;
}

function row(scan: string, { cells = [], id, clicks = 'c.json' }: Told = {}) {
  return { cells: id === undefined ? cells : [id, ...cells], hasId: id !== undefined, scan, clicks };
}

describe('rowNames', () => {
  it('keeps to the file name where that is enough', () => {
    expect(rowNames([row('/far/away/a.ply'), row('/far/away/b.ply')])).toEqual(['a', 'b']);
  });

  it('tells scans of one name apart by the folders in which their paths differ, and by no others', () => {
    expect(
      rowNames([
        row('/study/north/p01/upper/scan.ply'),
        row('/study/north/p01/lower/scan.ply'),
        row('/study/south/p01/upper/scan.ply'),
        row('/study/north/p02/upper/other.ply'),
      ]),
    ).toEqual(['north_p01_upper_scan', 'north_p01_lower_scan', 'south_p01_upper_scan', 'other']);
    expect(rowNames([row('/s/p01/export/scan.ply'), row('/s/p02/export/scan.ply')])).toEqual([
      'p01_scan',
      'p02_scan',
    ]);
  });

  it('leaves the folders out of a scan that lies above the others', () => {
    expect(rowNames([row('scan.ply'), row('./p01/scan.ply')])).toEqual(['scan', 'p01_scan']);
  });

  it('puts what differs behind an id, the file name of the scan with it', () => {
    expect(rowNames([row('a/upper.ply', { id: 'm1' }), row('a/lower.ply', { id: 'm1' })])).toEqual([
      'm1_upper',
      'm1_lower',
    ]);
  });

  it('tells one scan twice apart by its clicks', () => {
    const told = (clicks: string) => row('scan.ply', { clicks });
    expect(rowNames([told('a/clicks.json'), told('a/clicks-alt.json')])).toEqual([
      'scan_clicks',
      'scan_clicks-alt',
    ]);
  });

  it('needs no path where a further column tells rows apart', () => {
    const told = (cell: string) => row('x/scan.ply', { cells: [cell] });
    expect(rowNames([told('A'), told('B')])).toEqual(['scan_A', 'scan_B']);
  });

  it('counts where nothing differs that a folder can be called by', () => {
    expect(rowNames([row('s.ply'), row('s.ply')])).toEqual(['s', 's-2']);
    expect(rowNames([row('口腔/s.ply'), row('患者/s.ply')])).toEqual(['s', 's-2']);
  });

  it('gives no two names alike and none that climbs, whatever the paths', () => {
    const random = seededRandom(11);
    const pick = (of: readonly string[]) => of[Math.floor(random() * of.length)]!;
    const part = () => pick(['a', 'A', 'b c', '..', '.', 'ü', 'é', '口', '-', 'a'.repeat(120), 'scan', '']);
    for (let round = 0; round < 300; round += 1) {
      const rows = Array.from({ length: 1 + Math.floor(random() * 12) }, () => ({
        cells: [part()],
        hasId: random() < 0.5,
        scan: [part(), part(), `${part()}.ply`].join(pick(['/', '\\'])),
        clicks: [part(), part()].join('/'),
      }));
      const names = rowNames(rows);
      expect(new Set(names.map((name) => name.toLowerCase())).size).toBe(rows.length);
      for (const name of names) expect(name).toMatch(/^[A-Za-z0-9_](?:[A-Za-z0-9._-]*[A-Za-z0-9_])?$/);
    }
  });
});
