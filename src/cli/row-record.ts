import * as v from 'valibot';
import type { RowFault } from '../study/read-manifest.ts';
import type { BatchSettings } from './batch-row-types.ts';

/** Last of a row's files to be put in place: what it names is whole. */
export const ROW_RECORD_NAME = 'row.json';

const SCHEMA = 'archgap-batch-row/1';

const FileFacts = v.object({ sha256: v.string(), bytes: v.number() });
const Facts = v.object({
  jaw: v.picklist(['upper', 'lower']),
  triangles: v.nullable(v.number()),
  median_edge_mm: v.nullable(v.number()),
  contacts: v.number(),
  with_number: v.number(),
  open: v.number(),
});
const Software = v.object({ name: v.string(), version: v.string() });
const Settings = v.object({
  limit_mm: v.number(),
  unit: v.nullable(v.string()),
  numbering: v.string(),
  scanner: v.nullable(v.record(v.string(), v.union([v.string(), v.number()]))),
});
const Common = { schema: v.literal(SCHEMA), row: v.string(), software: Software, settings: Settings };
const DoneRecord = v.object({
  ...Common,
  outcome: v.literal('done'),
  inputs: v.object({
    scan: v.object({ ...FileFacts.entries, file_name: v.string() }),
    clicks: FileFacts,
  }),
  facts: Facts,
  files: v.record(v.string(), FileFacts),
});
const FailedRecord = v.object({
  ...Common,
  outcome: v.literal('failed'),
  fault: v.object({ code: v.string(), sentence: v.string() }),
});
const Record = v.variant('outcome', [DoneRecord, FailedRecord]);

export type RowSettings = v.InferOutput<typeof Settings>;
export type DoneRow = v.InferOutput<typeof DoneRecord>;
export type RowRecord = v.InferOutput<typeof Record>;

/** The settings of a batch as its files state them. */
export function statedSettings({ measure, unit, numbering }: BatchSettings): RowSettings {
  return {
    limit_mm: measure.limitMm,
    unit,
    numbering,
    scanner: measure.scanner ? { ...measure.scanner } : null,
  };
}

/** A done row as the text of its record. */
export function writeDoneRow(row: Omit<DoneRow, 'schema' | 'outcome'>): Uint8Array {
  return encode({ schema: SCHEMA, outcome: 'done', ...row });
}

export function writeFailedRow(
  row: string,
  version: string,
  settings: RowSettings,
  fault: RowFault,
): Uint8Array {
  const software = { name: 'archgap', version };
  return encode({ schema: SCHEMA, outcome: 'failed', row, software, settings, fault });
}

/** Reads a record; null when it is no whole record of this format, which means that the row is not done. */
export function readRowRecord(bytes: Uint8Array): RowRecord | null {
  let value: unknown;
  try {
    value = JSON.parse(new TextDecoder('utf-8', { fatal: true }).decode(bytes));
  } catch {
    return null;
  }
  const parsed = v.safeParse(Record, value);
  return parsed.success ? parsed.output : null;
}

function encode(value: unknown): Uint8Array {
  return new TextEncoder().encode(`${JSON.stringify(value, null, 2)}\n`);
}
