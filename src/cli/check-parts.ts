import { ArchgapError, cancelledError, inputError } from '../geometry/archgap-error.ts';
import type { RowTask } from './batch-row-types.ts';
import type { CliIo } from './cli-io.ts';
import { findRow, ROWS_FOLDER } from './merge-row.ts';
import { withOpenFile } from './read-input.ts';
import type { DoneRow } from './row-record.ts';

/** A batch that came to its end has written it, whatever rows it had. */
const PACKAGE_NAME = 'datapackage.json';

/** How many rows of a folder are named in a refusal. */
const MOST_TOLD = 3;

/** Digits of a fingerprint that are told: enough to tell two files apart by eye. */
const TOLD_DIGITS = 12;

/** What a row was measured on, by what it is known. */
type ScanFacts = DoneRow['inputs']['scan'];

/** Rows that were taken over without the scans of the list being compared: nothing but their names tells that they are its. */
export interface Unseen {
  /** How many have their scan elsewhere. */
  readonly notHere: number;
  /** Those whose scan is here and cannot be read, and why. */
  readonly notRead: readonly { readonly row: string; readonly sentence: string }[];
}

/** What became of comparing a row with the scan of the list. */
type Compared = 'alike' | 'not-here' | { readonly unread: string };

/** A done row of the list in one of the folders. */
interface Claim {
  readonly part: string;
  readonly scan: ScanFacts;
}

/**
 * Refuses folders that no batch of this list has written, before anything is changed: a name that was mistyped, or that
 * of another study, would else empty the rows that lie in the place of the result, or be taken over in their place.
 *
 * @param tasks - the rows of the list
 * @param tell - told how many rows were compared: reading every scan of a list takes its time
 * @throws ArchgapError `PART_NOT_A_BATCH`, `PART_OF_ANOTHER_LIST`, `ROW_OF_TWO_SCANS`, `CANCELLED`
 */
export async function checkParts(
  parts: readonly string[],
  tasks: readonly RowTask[],
  io: CliIo,
  tell: (compared: number) => void,
): Promise<Unseen> {
  for (const part of parts) {
    if (await holdsRowOf(part, tasks, io)) continue;
    const others = await rowsIn(part, io);
    if (others.length > 0) {
      const names = tasks.map(({ name }) => name);
      throw ofAnotherList(part, others, names);
    }
    // One of more parts than the list has rows came to its end without any.
    if (!(await hasPackage(part, io))) throw notABatch(part);
  }
  let notHere = 0;
  const notRead: { row: string; sentence: string }[] = [];
  for (const [k, task] of tasks.entries()) {
    const compared = await compareRow(task, parts, io);
    if (compared === 'not-here') notHere += 1;
    else if (compared !== 'alike') notRead.push({ row: task.name, sentence: compared.unread });
    tell(k + 1);
    await io.pause();
    if (io.signal.aborted) throw cancelledError();
  }
  return { notHere, notRead };
}

/**
 * Checks that everything that claims a row was measured on one scan: the parts, and the list where its scan is here.
 * Patients of two studies are often called alike, and every scan `scan.ply` in a folder of the patient.
 *
 * A scan that cannot be read is as good as one that is not here: what was measured on it is there, and one file that
 * somebody else may read does not keep a whole study from being put together.
 *
 * @throws ArchgapError `ROW_OF_TWO_SCANS`
 */
async function compareRow(task: RowTask, parts: readonly string[], io: CliIo): Promise<Compared> {
  const claims: Claim[] = [];
  for (const part of parts) {
    const row = await findRow(part, task.name, io);
    if (row?.record.outcome === 'done') claims.push({ part, scan: row.record.inputs.scan });
  }
  const [first, ...others] = claims;
  if (first === undefined) return 'alike';
  const other = others.find(({ scan }) => scan.sha256 !== first.scan.sha256);
  if (other) {
    const sentence = `"${first.part}" has row ${task.name} of ${told(first.scan)}, "${other.part}" of ${told(other.scan)}: two scans of one name. Leave the folder of the other study out, or measure the row again in the one that is out of date.`;
    throw ofTwoScans(task.name, first.part, sentence);
  }
  const listed = await listedScan(task, first.scan, io);
  if (listed === null) return 'not-here';
  if ('unread' in listed) return listed;
  if (listed.sha256 !== first.scan.sha256) {
    const sentence = `"${first.part}" has row ${task.name} of ${told(first.scan)}, the list names ${told(listed)}: another study, or a scan that was changed since. Check the folder and the list, or measure the row again.`;
    throw ofTwoScans(task.name, first.part, sentence);
  }
  return 'alike';
}

/** The scan that the list names, null where it is not here, or why it is not read. Of another size it is another, and not read. */
async function listedScan(
  { scan: { told: name, places } }: RowTask,
  measured: ScanFacts,
  io: CliIo,
): Promise<ScanFacts | { readonly unread: string } | null> {
  const file_name = io.files.baseName(name);
  for (const path of places) {
    try {
      return await withOpenFile(io, path, async (file) => {
        const bytes = file.length;
        return { file_name, bytes, sha256: bytes === measured.bytes ? file.sha256() : '' };
      });
    } catch (fault) {
      if (!(fault instanceof ArchgapError) || fault.kind !== 'input') throw fault;
      if (fault.code !== 'FILE_NOT_FOUND') return { unread: fault.message };
    }
  }
  return null;
}

function told({ file_name, bytes, sha256 }: ScanFacts): string {
  const print = sha256 === '' ? '' : `, SHA-256 ${sha256.slice(0, TOLD_DIGITS)}…`;
  return `${file_name} (${bytes} bytes${print})`;
}

function ofTwoScans(row: string, part: string, sentence: string): ArchgapError {
  return inputError('ROW_OF_TWO_SCANS', `${sentence} Nothing was changed.`, { details: { row, part } });
}

/** Names of the rows that lie in the folder of a batch, also of one that was stopped and has no package yet. */
async function rowsIn(part: string, io: CliIo): Promise<readonly string[]> {
  const rows: string[] = [];
  for (const name of io.files.foldersIn(io.files.join(io.files.resolve(part), ROWS_FOLDER)))
    if (await findRow(part, name, io)) rows.push(name);
  return rows.sort();
}

function notABatch(part: string): ArchgapError {
  return inputError(
    'PART_NOT_A_BATCH',
    `"${part}" holds neither ${PACKAGE_NAME} nor a row of the list; expected a folder that archgap batch wrote. Check its name. Nothing was changed.`,
    { details: { part } },
  );
}

function ofAnotherList(part: string, others: readonly string[], names: readonly string[]): ArchgapError {
  const told = (rows: readonly string[]) =>
    `${rows.slice(0, MOST_TOLD).join(', ')}${rows.length > MOST_TOLD ? ' …' : ''}`;
  return inputError(
    'PART_OF_ANOTHER_LIST',
    `"${part}" is the folder of another list: it holds ${told(others)} and not one row of this list (${told(names)}). Check the folder and the list. Nothing was changed.`,
    { details: { part } },
  );
}

async function hasPackage(part: string, io: CliIo): Promise<boolean> {
  try {
    await io.files.read(io.files.join(part, PACKAGE_NAME));
    return true;
  } catch {
    return false;
  }
}

/**
 * Whether the part holds any row of the list.
 *
 * @throws ArchgapError `PART_OF_ANOTHER_LIST` where a row of that name is of another scan: patients of two studies are
 *   often called alike
 */
async function holdsRowOf(part: string, tasks: readonly RowTask[], io: CliIo): Promise<boolean> {
  let holds = false;
  for (const { name, scan } of tasks) {
    const row = await findRow(part, name, io);
    if (row === null) continue;
    holds = true;
    const listed = io.files.baseName(scan.told);
    if (row.record.outcome !== 'done' || row.record.inputs.scan.file_name === listed) continue;
    throw inputError(
      'PART_OF_ANOTHER_LIST',
      `"${part}" is the folder of another list: its row ${name} was measured on ${row.record.inputs.scan.file_name}, in this list it is ${listed}. Check the folder and the list. Nothing was changed.`,
      { details: { part } },
    );
  }
  return holds;
}
