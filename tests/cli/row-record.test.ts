import { describe, expect, it } from 'vitest';
import { readRowRecord, statedSettings, writeDoneRow, writeFailedRow } from '../../src/cli/row-record.ts';
import { DEFAULT_MEASURE_SETTINGS, UNCALIBRATED_SCANNER } from '../../src/contacts/settings.ts';

const settings = statedSettings({
  measure: { ...DEFAULT_MEASURE_SETTINGS, scanner: UNCALIBRATED_SCANNER },
  unit: null,
  numbering: 'iso',
});
const done = {
  row: 'm1',
  software: { name: 'archgap', version: '1.2.3' },
  settings,
  inputs: { scan: { sha256: 'a', bytes: 1, file_name: 'a.ply' }, clicks: { sha256: 'b', bytes: 2 } },
  facts: {
    jaw: 'upper' as const,
    triangles: 3,
    median_edge_mm: null,
    contacts: 4,
    with_number: 2,
    open: 1,
  },
  files: { 'contacts.csv': { sha256: 'c', bytes: 5 } },
};

describe('the record of a row', () => {
  it('comes back as it was written, done or failed', () => {
    expect(readRowRecord(writeDoneRow(done))).toMatchObject({ outcome: 'done', ...done });
    const fault = { code: 'FILE_EMPTY', sentence: 'It is empty.' };
    expect(readRowRecord(writeFailedRow('m2', '1.2.3', settings, fault))).toMatchObject({
      outcome: 'failed',
      row: 'm2',
      fault,
    });
  });

  it('states the settings with the terms of the scanner, or that there are none', () => {
    expect(settings.scanner).toMatchObject({ name: UNCALIBRATED_SCANNER.name });
    const plain = statedSettings({ measure: DEFAULT_MEASURE_SETTINGS, unit: 'mm', numbering: 'palmer' });
    expect(plain).toEqual({
      limit_mm: DEFAULT_MEASURE_SETTINGS.limitMm,
      unit: 'mm',
      numbering: 'palmer',
      scanner: null,
    });
  });

  it('is none when it was cut short, is no text, or lacks a field', () => {
    const bytes = writeDoneRow(done);
    expect(readRowRecord(bytes.subarray(0, bytes.length - 3))).toBeNull();
    expect(readRowRecord(Uint8Array.from([0xff, 0xfe]))).toBeNull();
    const { facts: _, ...rest } = done;
    expect(readRowRecord(writeDoneRow(rest as never))).toBeNull();
  });
});
