import Papa from 'papaparse';
import { describe, expect, it } from 'vitest';
import { writeContactsCsv } from '../../src/report/contacts-csv.ts';
import { makeAnalysis, makeSource, threeSpaces } from '../helpers/make-analysis.ts';

/** Written out from the contract on purpose: the test must not read the list it checks. */
const HEADER =
  'scan,jaw,tooth_a,tooth_b,status,gap_mm,gap_u95_mm,upper_bound_mm,nearest_mm,clearance_mm,bridge,bridge_height_mm,bridge_width_mm,ax,ay,az,bx,by,bz,height_mm,slip_mm,limit_mm,note';

function table(text: string): Record<string, string>[] {
  return Papa.parse<Record<string, string>>(text.trimEnd(), { header: true, newline: '\n' }).data;
}

describe('writeContactsCsv', () => {
  it('has the columns of the contract and a row per pair from right to left', () => {
    const text = writeContactsCsv(threeSpaces());
    expect(text.split('\n')[0]).toBe(HEADER);
    expect(text.endsWith('\n')).toBe(true);
    expect(text).not.toContain('\r');
    expect(table(text).map((row) => `${row.tooth_a}-${row.tooth_b}`)).toEqual(
      '17-16 16-15 15-14 14-13 13-12 12-11 11-21 21-22 22-23 23-24 24-25 25-26 26-27'.split(' '),
    );
  });

  it('gives a bridged contact an upper bound and no number', () => {
    const row = table(writeContactsCsv(threeSpaces()))[0];
    expect(row).toMatchObject({
      scan: 'demo-arch.ply',
      jaw: 'upper',
      status: 'bridged',
      gap_mm: '',
      gap_u95_mm: '',
      upper_bound_mm: '0.24',
      nearest_mm: '',
      clearance_mm: '',
      bridge: 'full',
      bridge_height_mm: '1.8',
      bridge_width_mm: '2.3',
      limit_mm: '0.1',
      note: '',
    });
  });

  it('gives an open contact its number, uncertainty and points', () => {
    const row = table(writeContactsCsv(threeSpaces()))[4]!;
    expect(row).toMatchObject({
      status: 'open',
      gap_mm: '0.25',
      gap_u95_mm: '0.034',
      upper_bound_mm: '',
      bridge: 'none',
    });
    const distance = Math.hypot(
      Number(row.bx) - Number(row.ax),
      Number(row.by) - Number(row.ay),
      Number(row.bz) - Number(row.az),
    );
    expect(distance).toBeCloseTo(0.25, 3);
  });

  it('writes points in file coordinates and leaves a missing site empty', () => {
    const analysis = makeAnalysis({ missing: [14], originMm: [100, 0, 0] });
    const rows = table(writeContactsCsv(analysis));
    const site = rows.find((row) => row.status === 'missing-tooth')!;
    expect(`${site.tooth_a}-${site.tooth_b}`).toBe('15-13');
    expect([site.ax, site.by, site.height_mm, site.upper_bound_mm]).toEqual(['', '', '', '']);
    expect(Number(rows[0]!.ax)).toBeCloseTo(analysis.contacts[0]!.pointA![0] + 100, 3);
  });

  it('joins notes with semicolons and disarms a file name that looks like a formula', () => {
    const analysis = makeAnalysis({
      fileName: '=cmd.ply',
      contacts: { '11-21': { status: 'not-measurable', upperBoundMm: 0.3, notes: ['near-gum', 'coarse'] } },
    });
    const row = table(writeContactsCsv(analysis))[6];
    expect(row).toMatchObject({ scan: "'=cmd.ply", note: 'near-gum;coarse' });
  });

  it('keeps an overlap a plain negative number', () => {
    const analysis = makeAnalysis({
      contacts: { '11-21': { status: 'overlap', gapMm: -0.12, u95Mm: 0.02 } },
    });
    expect(table(writeContactsCsv(analysis))[6]!.gap_mm).toBe('-0.12');
  });

  it('names both files of a pair of separate crowns', () => {
    const analysis = makeAnalysis({ teeth: [11, 21] });
    const crowns = {
      ...analysis,
      kind: 'crowns' as const,
      sources: [makeSource('11.stl'), makeSource('21.stl')],
    };
    expect(table(writeContactsCsv(crowns))[0]!.scan).toBe('11.stl + 21.stl');
    // no file name may start a cell where semicolons separate: a spreadsheet would run `=1+1`
    const hostile = { ...crowns, sources: [makeSource('11.stl'), makeSource('=1+1.stl')] };
    expect(writeContactsCsv(hostile)).not.toMatch(/[;,]\s*[=+@-]\D/);
  });
});
