import { describe, expect, it } from 'vitest';
import { repeatedMeasurements } from '../../src/study/repeated-measurements.ts';
import { scansShared } from '../../src/study/shared-scans.ts';

/** Rows of one contact per line: `id operator session scan gap`. */
function shared(column: 'scan' | 'scan_sha256', lines: readonly string[], members = [0, 1]) {
  const rows = lines.map((line) => {
    const [id, operator, session, scan, gap] = line.split(' ');
    return `${id},${operator},${session},${scan},${gap === '-' ? '' : gap}`;
  });
  const text = `id,operator,session,${column},gap_mm\n${rows.join('\n')}\n`;
  const data = repeatedMeasurements([{ name: 't.csv', text }], { value: null, target: ['id'], by: null });
  return scansShared(data, members);
}

describe('scansShared', () => {
  it('tells two operators on one scan from two scans, by name and by fingerprint', () => {
    for (const column of ['scan', 'scan_sha256'] as const) {
      expect(shared(column, ['m1 A 1 x 0.3', 'm1 B 1 x 0.4', 'm2 A 1 y 0.3', 'm2 B 1 y 0.4'])).toBe('all');
      expect(shared(column, ['m1 A 1 x 0.3', 'm1 B 1 y 0.4'])).toBe('none');
    }
  });

  it('goes by the occasions that are compared: operators share a scan, sessions do not', () => {
    const lines = ['m1 A 1 x 0.3', 'm1 B 1 x 0.3', 'm1 A 2 y 0.3', 'm1 B 2 y 0.3'];
    expect(shared('scan', lines, [0, 1])).toBe('all');
    expect(shared('scan', lines, [0, 2])).toBe('none');
    expect(shared('scan', lines, [0, 1, 2, 3])).toBe('some');
  });

  it('leaves out targets without a number on every occasion', () => {
    expect(shared('scan', ['m1 A 1 x 0.3', 'm1 B 1 x 0.4', 'm2 A 1 y -', 'm2 B 1 z 0.4'])).toBe('all');
  });

  it('cannot tell by a name that two mouths have in common, nor without a name', () => {
    const alike = ['m1 A 1 x 0.3', 'm1 B 1 x 0.4', 'm2 A 1 x 0.3', 'm2 B 1 x 0.4'];
    expect(shared('scan', alike)).toBeNull();
    expect(shared('scan_sha256', alike)).toBe('all');
    expect(shared('scan', ['m1 A 1  0.3', 'm1 B 1 x 0.4'])).toBeNull();
  });
});
