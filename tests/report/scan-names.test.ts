import { describe, expect, it } from 'vitest';
import { scanDays, scanNames } from '../../src/report/scan-names.ts';

const scan = (fileName: string, scannedOn: string | null = null) => ({ fileName, scannedOn });

describe('scanNames', () => {
  it('leaves names alone that say which scan it is', () => {
    expect(scanNames([scan('a.ply'), scan('b.ply', '2026-01-05')])).toEqual(['a.ply', 'b.ply']);
    expect(scanNames([scan('a.ply')])).toEqual(['a.ply']);
  });

  it('tells scans of one name apart by their day, else by their place', () => {
    expect(scanNames([scan('a.ply'), scan('a.ply')])).toEqual(['a.ply (earlier scan)', 'a.ply (new scan)']);
    expect(scanNames([scan('a.ply', '2026-01-05'), scan('a.ply', '2026-03-01')])).toEqual([
      'a.ply of 2026-01-05',
      'a.ply of 2026-03-01',
    ]);
    expect(scanNames([scan('a.ply'), scan('a.ply', '2026-03-01')])).toEqual([
      'a.ply (earlier scan)',
      'a.ply of 2026-03-01',
    ]);
  });

  it('never gives two scans one name, of the same day and among more than two neither', () => {
    const scans = [
      scan('a.ply', '2026-01-05'),
      scan('b.ply'),
      scan('a.ply', '2026-01-05'),
      scan('a.ply', '2026-03-01'),
    ];
    expect(scanNames(scans)).toEqual([
      'a.ply (scan 1 of 4)',
      'b.ply',
      'a.ply (scan 3 of 4)',
      'a.ply of 2026-03-01',
    ]);
  });
});

describe('scanDays', () => {
  it('is the day alone where one scan has it, else the name', () => {
    expect(scanDays([scan('a.ply', '2026-01-05'), scan('a.ply'), scan('b.ply')])).toEqual([
      '2026-01-05',
      'a.ply (scan 2 of 3)',
      'b.ply',
    ]);
    expect(scanDays([scan('a.ply', '2026-01-05'), scan('a.ply', '2026-01-05')])).toEqual([
      'a.ply (earlier scan)',
      'a.ply (new scan)',
    ]);
  });
});
