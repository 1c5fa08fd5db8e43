import { inputError } from '../geometry/archgap-error.ts';
import { sha256 } from '../scan/sha256.ts';
import { batchRow } from './batch-row.ts';
import type { RowOutcome, RowTask } from './batch-row-types.ts';
import type { CliIo } from './cli-io.ts';
import { makeOutputSet } from './output-set.ts';
import { RESULT_FILES } from './result-files.ts';
import { ROW_RECORD_NAME, type RowRecord, type RowSettings, readRowRecord } from './row-record.ts';

/** Where the folders of the rows lie in the folder of a batch. */
export const ROWS_FOLDER = 'results';

/** A row as it lies in the folder of a batch. */
export interface FoundRow {
  readonly folder: string;
  readonly record: RowRecord;
  readonly bytes: Uint8Array;
}

/** What one run of a batch, on one machine or many, has in common. */
export interface CommonFacts {
  readonly version: string;
  readonly settings: RowSettings;
}

/** The record of a row in the folder of a batch, or null where there is none. */
export async function findRow(batchFolder: string, name: string, io: CliIo): Promise<FoundRow | null> {
  const folder = io.files.join(io.files.join(batchFolder, ROWS_FOLDER), name);
  let bytes: Uint8Array;
  try {
    bytes = await io.files.read(io.files.join(folder, ROW_RECORD_NAME));
  } catch {
    return null;
  }
  const record = readRowRecord(bytes);
  return record && { folder, record, bytes };
}

/**
 * Takes one row from the parts of a batch that were run apart: every file is checked against the row's record and
 * copied. A row that no part holds fails.
 *
 * @param common - version and settings of the rows before, or null for the first
 * @returns the outcome, and what the row has in common with the next
 * @throws ArchgapError `PARTS_DISAGREE`, `PART_DAMAGED`
 */
export async function mergeRow(
  task: RowTask,
  parts: readonly string[],
  common: CommonFacts | null,
  io: CliIo,
): Promise<{ readonly outcome: RowOutcome; readonly common: CommonFacts | null }> {
  const found: FoundRow[] = [];
  for (const part of parts) {
    const row = await findRow(part, task.name, io);
    if (row) found.push(row);
  }
  const done = found.filter(({ record }) => record.outcome === 'done');
  const chosen = done[0] ?? found[0];
  if (chosen === undefined) {
    const fault = {
      code: 'ROW_IN_NO_PART',
      sentence: 'None of the folders to merge holds this row; run its part, then merge again.',
    };
    return { outcome: await batchRow({ ...task, fault }, io), common };
  }
  const { software, settings } = chosen.record;
  const facts = { version: software.version, settings };
  const differs = common !== null && JSON.stringify(common) !== JSON.stringify(facts);
  if (differs || done.some(({ bytes }) => !alike(bytes, chosen.bytes))) {
    throw inputError(
      'PARTS_DISAGREE',
      `Row ${task.name} in "${chosen.folder}" was measured with another version, other settings or another scan than in the rest; run all parts with the same command.`,
    );
  }
  await copyRow(chosen, task, io);
  const { record } = chosen;
  return {
    outcome: record.outcome === 'done' ? { kind: 'kept' } : { kind: 'failed', fault: record.fault },
    common: facts,
  };
}

function alike(a: Uint8Array, b: Uint8Array): boolean {
  return a.length === b.length && a.every((value, k) => value === b[k]);
}

async function copyRow({ folder, record, bytes }: FoundRow, task: RowTask, io: CliIo): Promise<void> {
  const outputs = makeOutputSet(io, []);
  try {
    await outputs.prepareFolder(task.folder);
    if (record.outcome === 'failed') {
      for (const name of RESULT_FILES) io.files.removeFile(io.files.join(task.folder, name));
    } else {
      for (const name of RESULT_FILES) {
        const content = await readResult(io.files.join(folder, name), record.files[name]?.sha256, io);
        await outputs.stage(io.files.join(task.folder, name), content);
      }
    }
    await outputs.stage(io.files.join(task.folder, ROW_RECORD_NAME), bytes);
    outputs.commit();
  } finally {
    outputs.discard();
  }
}

async function readResult(path: string, hash: string | undefined, io: CliIo): Promise<Uint8Array> {
  let content: Uint8Array | null = null;
  try {
    content = await io.files.read(path);
  } catch {
    // Told below, like a file that was cut short on its way.
  }
  if (content !== null && (await sha256(content)) === hash) return content;
  throw inputError(
    'PART_DAMAGED',
    `"${path}" is not what was measured there; copy the folder anew, or run its part again.`,
  );
}
