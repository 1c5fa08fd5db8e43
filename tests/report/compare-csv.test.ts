import Papa from 'papaparse';
import { describe, expect, it } from 'vitest';
import { COMPARE_COLUMNS, writeCompareCsv } from '../../src/report/compare-csv.ts';
import { EARLIER, FOLLOW_UP } from '../helpers/make-changes.ts';

const text = writeCompareCsv(EARLIER, FOLLOW_UP);
const { data: rows, meta } = Papa.parse<Record<string, string>>(text.trimEnd(), { header: true });
/** Columns that say which scans a row is of. */
const ABOUT = ['jaw', 'earlier_scan', 'new_scan', 'earlier_sha256', 'new_sha256'];
/** The cells of the pair itself that hold something. */
const said = (row: Record<string, string>) =>
  Object.fromEntries(Object.entries(row).filter(([name, cell]) => cell !== '' && !ABOUT.includes(name)));

describe('writeCompareCsv', () => {
  it('has its columns in order, a row per pair and an end of line after each', () => {
    expect(meta.fields).toEqual([...COMPARE_COLUMNS]);
    expect(rows).toHaveLength(3);
    expect(text.endsWith('\n')).toBe(true);
    expect(text).not.toMatch(/\r|NaN|undefined|null/);
  });

  it('names in every row, behind the columns of before, the jaw and both scans with their fingerprints', () => {
    expect(COMPARE_COLUMNS.slice(-6)).toEqual(['note', ...ABOUT]);
    const [before, after] = [EARLIER.sources[0]!, FOLLOW_UP.analysis.sources[0]!];
    expect(after.fileName).toBe('<later>.ply');
    for (const row of rows) {
      expect(ABOUT.map((name) => row[name])).toEqual([
        'upper',
        before.fileName,
        after.fileName,
        before.sha256,
        after.sha256,
      ]);
    }
  });

  it('keeps the name of a scan from being taken for a formula', () => {
    const [source] = EARLIER.sources;
    const named = writeCompareCsv({ sources: [{ ...source!, fileName: '=A1.ply' }] }, FOLLOW_UP);
    expect(named).toContain(',"\'=A1.ply",');
  });

  it('holds both spaces, the change, the approach and the plan of a space that was seen twice', () => {
    expect(said(rows[0]!)).toEqual({
      tooth_a: '12',
      tooth_b: '11',
      change: 'partly-closed',
      before_status: 'open',
      after_status: 'open',
      before_gap_mm: '0.4',
      before_u95_mm: '0.03',
      after_gap_mm: '0.15',
      after_u95_mm: '0.03',
      change_mm: '-0.25',
      change_u95_mm: '0.042',
      change_least_mm: '-0.292',
      change_most_mm: '-0.208',
      approach_mm: '-0.24',
      approach_u95_mm: '0.02',
      planned_mm: '0.1',
      plan_standing: 'short-of-plan',
      expressed_share: '0.8333',
      expressed_u95: '0.14',
      limit_mm: '0.1',
      note: 'walls-changed',
    });
  });

  it('has no number for what a web hid: a bound, the range, and the space by the crowns’ motion', () => {
    expect(said(rows[1]!)).toEqual({
      tooth_a: '11',
      tooth_b: '21',
      change: 'newly-open',
      before_status: 'bridged',
      after_status: 'open',
      before_upper_bound_mm: '0.25',
      after_gap_mm: '0.31',
      after_u95_mm: '0.04',
      change_least_mm: '0.02',
      change_most_mm: '0.35',
      approach_mm: '0.2',
      approach_u95_mm: '0.02',
      carried_scan: 'earlier',
      carried_gap_mm: '0.11',
      carried_u95_mm: '0.045',
      limit_mm: '0.1',
      note: 'may-have-been-hidden',
    });
  });

  it('leaves empty what a scan without the pair cannot say', () => {
    expect(said(rows[2]!)).toEqual({
      tooth_a: '21',
      tooth_b: '22',
      change: 'not-comparable',
      after_status: 'closed',
      after_gap_mm: '0.02',
      after_u95_mm: '0.02',
      limit_mm: '0.1',
    });
  });
});
