import { createHash } from 'node:crypto';
import { ArchgapError } from '../geometry/archgap-error.ts';
import {
  type BatchRow,
  type BatchTable,
  type BatchTableName,
  failureLine,
  measuredLines,
  rowLine,
  tableHeader,
} from '../report/batch-tables.ts';
import { type WrittenTable, writeDataPackage } from '../report/data-package.ts';
import type { ManifestRow } from '../study/read-manifest.ts';
import type { CliIo } from './cli-io.ts';
import { type CommonFacts, ROWS_FOLDER } from './merge-row.ts';
import type { OutputSet } from './output-set.ts';
import { ROW_RECORD_NAME, readRowRecord } from './row-record.ts';

/** Lines are gathered to pieces of about this many characters before they go to the disk. */
const PIECE_CHARACTERS = 1 << 16;

/** A row that has no result, for the summary. */
interface Failure {
  readonly row: string;
  readonly code: string;
  readonly sentence: string;
}

/**
 * Writes the tables of a batch and its data package beside their places. The rows' folders are read again one by
 * one, so that memory does not grow with the number of rows.
 */
export async function stageBatchTables(
  rows: readonly ManifestRow[],
  tables: Readonly<Record<BatchTableName, BatchTable>>,
  common: CommonFacts,
  out: string,
  io: CliIo,
  outputs: OutputSet,
): Promise<{ readonly failures: readonly Failure[] }> {
  const { files } = io;
  const folderOf = (row: ManifestRow) => files.join(files.join(files.resolve(out), ROWS_FOLDER), row.name);
  const found: BatchRow[] = [];
  for (const row of rows) found.push(await readRow(row, folderOf(row), io));
  const measured = (table: BatchTable, fileName: string) => async (row: BatchRow) =>
    row.result === null
      ? ''
      : measuredLines(
          table,
          row.manifest,
          decode(await files.read(files.join(folderOf(row.manifest), fileName))),
        );
  const linesOf: Readonly<Record<BatchTableName, (row: BatchRow) => Promise<string>>> = {
    contacts: measured(tables.contacts, 'contacts.csv'),
    teeth: measured(tables.teeth, 'teeth.csv'),
    rows: async (row) => rowLine(row),
    failures: async (row) => failureLine(row),
  };
  const written: WrittenTable[] = [];
  for (const table of Object.values(tables)) {
    const fileName = `${table.name}.csv`;
    const hash = createHash('sha256');
    let bytes = 0;
    const pieces = async function* () {
      for await (const piece of gathered(table, found, linesOf[table.name])) {
        hash.update(piece);
        bytes += piece.length;
        yield piece;
      }
    };
    await outputs.stage(files.join(out, fileName), pieces());
    written.push({ table, fileName, bytes, sha256: hash.digest('hex') });
  }
  const document = writeDataPackage({ ...common, tables: written });
  await outputs.stage(files.join(out, 'datapackage.json'), new TextEncoder().encode(document));
  return {
    failures: found.flatMap(({ manifest, fault }) => (fault ? [{ row: manifest.name, ...fault }] : [])),
  };
}

async function* gathered(
  table: BatchTable,
  rows: readonly BatchRow[],
  lines: (row: BatchRow) => Promise<string>,
): AsyncGenerator<Uint8Array> {
  const encoder = new TextEncoder();
  let text = tableHeader(table);
  for (const row of rows) {
    text += await lines(row);
    if (text.length < PIECE_CHARACTERS) continue;
    yield encoder.encode(text);
    text = '';
  }
  yield encoder.encode(text);
}

/** What a row's folder says of it. */
async function readRow(manifest: ManifestRow, folder: string, io: CliIo): Promise<BatchRow> {
  const record = readRowRecord(await io.files.read(io.files.join(folder, ROW_RECORD_NAME)));
  if (record === null) {
    throw new ArchgapError(
      'internal',
      'ROW_RECORD_LOST',
      `The record of row ${manifest.name} was changed while the batch ran; run it again.`,
    );
  }
  if (record.outcome === 'failed') return { manifest, fault: record.fault, result: null };
  const { facts, inputs, files } = record;
  return {
    manifest,
    fault: null,
    result: {
      jaw: facts.jaw,
      triangles: facts.triangles,
      medianEdgeMm: facts.median_edge_mm,
      contacts: facts.contacts,
      withNumber: facts.with_number,
      open: facts.open,
      scanSha256: inputs.scan.sha256,
      clicksSha256: inputs.clicks.sha256,
      resultSha256: files['result.json']?.sha256 ?? '',
    },
  };
}

function decode(bytes: Uint8Array): string {
  return new TextDecoder().decode(bytes);
}
