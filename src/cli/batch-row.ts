import type { Analysis } from '../contacts/types.ts';
import { ArchgapError, inputError } from '../geometry/archgap-error.ts';
import { type JobControl, subJob } from '../geometry/job-control.ts';
import type { OpenFile } from '../scan/file-bytes.ts';
import { sha256 } from '../scan/sha256.ts';
import { parseClickFile } from '../teeth/clicks.ts';
import type { RowInput, RowOutcome, RowTask } from './batch-row-types.ts';
import type { CliIo } from './cli-io.ts';
import { readFault } from './file-faults.ts';
import { type ClickedScan, measureRead, readClickedScan } from './measure-scan-file.ts';
import { makeOutputSet } from './output-set.ts';
import { planDefault, RESULT_FILES, resultFiles } from './result-files.ts';
import {
  type DoneRow,
  ROW_RECORD_NAME,
  readRowRecord,
  statedSettings,
  writeDoneRow,
  writeFailedRow,
} from './row-record.ts';
import { makeTerminalJob } from './terminal-progress.ts';
import { parsedText } from './text-of.ts';

/** Faults of the place for the results: every further row would meet them, too. */
const FATAL_CODES = ['DISK_FULL', 'OUT_NOT_WRITABLE', 'OUT_NOT_A_FOLDER', 'OUT_NOT_A_FILE'];

interface ReadInput {
  readonly path: string;
  readonly bytes: Uint8Array;
  readonly sha256: string;
}

/**
 * One row of a batch: measures its scan into its folder, unless that was done earlier from the same bytes with the
 * same settings and version and the files still are what they were. What is wrong with the row ends up in the
 * outcome and in the row's record; nothing of an earlier measurement stays beside it.
 *
 * @throws ArchgapError what stops the whole batch: `CANCELLED`, and the faults of the disk
 */
export async function batchRow(task: RowTask, io: CliIo): Promise<RowOutcome> {
  try {
    return await measureRow(task, io);
  } catch (thrown) {
    const error = thrown instanceof ArchgapError ? thrown : unexpected(thrown);
    if (error.kind === 'cancelled' || FATAL_CODES.includes(error.code)) throw error;
    const fault = { code: error.code, sentence: error.message };
    await writeFailure(task, fault, io);
    return { kind: 'failed', fault };
  }
}

async function measureRow(task: RowTask, io: CliIo): Promise<RowOutcome> {
  const { name, folder, settings } = task;
  if (task.fault) throw inputError(task.fault.code, task.fault.sentence);
  const job: JobControl = makeTerminalJob(io);
  const read = await readRow(task, io, subJob(job, 0, 0.27));
  if (read === null) return { kind: 'kept' };
  const { row, paths } = read;
  const { measure, numbering } = settings;
  const measured = await measureRead(read, task.clicks.told, measure, subJob(job, 0, 0.9));
  const closure = await planDefault(measured, numbering, subJob(job, 0.9, 1));
  const outputs = makeOutputSet(io, paths);
  try {
    await outputs.prepareFolder(folder);
    const files: Record<string, { sha256: string; bytes: number }> = {};
    const about = { numbering, version: io.version, createdAt: null, caseLabel: name };
    for (const [file, bytes] of resultFiles(measured, closure, about)) {
      await outputs.stage(io.files.join(folder, file), bytes);
      files[file] = { sha256: await sha256(bytes), bytes: bytes.length };
    }
    const record = writeDoneRow({ ...row, facts: factsOfAnalysis(measured.analysis), files });
    // Last, so that the record never names files that are not there yet.
    await outputs.stage(io.files.join(folder, ROW_RECORD_NAME), record);
    await job.checkpoint(1, 'writing the files');
    outputs.commit();
  } finally {
    outputs.discard();
  }
  return { kind: 'measured' };
}

interface ReadRow extends ClickedScan {
  readonly row: Omit<DoneRow, 'schema' | 'outcome' | 'facts' | 'files'>;
  /** Of the files that were read. */
  readonly paths: readonly string[];
}

/** The files of a row, read; their bytes go when it ends. Null where the folder holds the row already. */
async function readRow(task: RowTask, io: CliIo, job: JobControl): Promise<ReadRow | null> {
  const { name, folder, settings } = task;
  const clicksFile = await readInput(task.clicks, io);
  const scanFile = await readInput(task.scan, io);
  const fileName = io.files.baseName(task.scan.told);
  const row = {
    row: name,
    software: { name: 'archgap', version: io.version },
    settings: statedSettings(settings),
    inputs: {
      scan: { ...factsOf(scanFile), file_name: fileName },
      clicks: factsOf(clicksFile),
    },
  };
  if (await isDone(row, folder, io)) return null;

  const clicks = parsedText(clicksFile.bytes, task.clicks.told, parseClickFile);
  if (task.jaw !== null && clicks.jaw !== task.jaw) {
    throw inputError(
      'JAW_DISAGREES',
      `The manifest says ${task.jaw}, the click file ${clicks.jaw}; correct the one that is wrong.`,
    );
  }
  const { bytes, sha256: fingerprint } = scanFile;
  // Its fingerprint is known: bytes alone would be hashed again.
  const file: OpenFile = {
    length: bytes.length,
    read: (from, to) => bytes.subarray(from, to),
    sha256: () => fingerprint,
  };
  const input = { fileName, file, clicks, clicksName: task.clicks.told, unit: settings.unit };
  const read = await readClickedScan(input, job);
  return { scan: read.scan, clicks: read.clicks, row, paths: [scanFile.path, clicksFile.path] };
}

/** The first place where the file is. @throws ArchgapError that calls the file what the manifest calls it */
async function readInput({ told, places }: RowInput, io: CliIo): Promise<ReadInput> {
  let missing: ArchgapError | null = null;
  for (const path of places) {
    try {
      const bytes = await io.files.read(path);
      return { path, bytes, sha256: await sha256(bytes) };
    } catch (cause) {
      const fault = readFault(told, cause);
      if (fault.code !== 'FILE_NOT_FOUND') throw fault;
      missing = fault;
    }
  }
  throw missing ?? readFault(told, { code: 'ENOENT' });
}

function factsOf({ sha256: hash, bytes }: ReadInput): { sha256: string; bytes: number } {
  return { sha256: hash, bytes: bytes.length };
}

/** Whether the folder holds this very row, whole. */
async function isDone(
  row: Pick<DoneRow, 'row' | 'software' | 'settings' | 'inputs'>,
  folder: string,
  io: CliIo,
): Promise<boolean> {
  const found = await readIfThere(io.files.join(folder, ROW_RECORD_NAME), io);
  const record = found && readRowRecord(found);
  if (record?.outcome !== 'done') return false;
  const asked = writeDoneRow({ ...row, facts: record.facts, files: record.files });
  if (!sameBytes(asked, found!)) return false;
  for (const name of RESULT_FILES) {
    const bytes = await readIfThere(io.files.join(folder, name), io);
    if (bytes === null || (await sha256(bytes)) !== record.files[name]?.sha256) return false;
  }
  return true;
}

function sameBytes(a: Uint8Array, b: Uint8Array): boolean {
  return a.length === b.length && a.every((value, k) => value === b[k]);
}

/** What cannot be read counts as absent: the row is then measured again, and a disk that fails says so itself. */
async function readIfThere(path: string, io: CliIo): Promise<Uint8Array | null> {
  try {
    return await io.files.read(path);
  } catch {
    return null;
  }
}

async function writeFailure(
  { name, folder, settings }: RowTask,
  fault: { readonly code: string; readonly sentence: string },
  io: CliIo,
): Promise<void> {
  const outputs = makeOutputSet(io, []);
  try {
    await outputs.prepareFolder(folder);
    // Results of an earlier, good file must not stand beside the fault of this one.
    for (const file of RESULT_FILES) io.files.removeFile(io.files.join(folder, file));
    const record = writeFailedRow(name, io.version, statedSettings(settings), fault);
    await outputs.stage(io.files.join(folder, ROW_RECORD_NAME), record);
    outputs.commit();
  } finally {
    outputs.discard();
  }
}

function unexpected(thrown: unknown): ArchgapError {
  const what = thrown instanceof Error ? `${thrown.name}: ${thrown.message}` : String(thrown);
  return new ArchgapError(
    'internal',
    'INTERNAL',
    `The row failed where it should not (${what}); please report this with the scan.`,
    { cause: thrown },
  );
}

function factsOfAnalysis({ jaw, health, contacts }: Analysis): DoneRow['facts'] {
  return {
    jaw,
    triangles: health?.triangles ?? null,
    median_edge_mm: health && Number(health.medianEdgeMm.toFixed(4)),
    contacts: contacts.filter(({ status }) => status !== 'missing-tooth').length,
    with_number: contacts.filter(({ gap }) => gap !== null).length,
    open: contacts.filter(({ status }) => status === 'open').length,
  };
}
