import { readScannerProfile } from '../contacts/scanner-profile.ts';
import { DEFAULT_MEASURE_SETTINGS } from '../contacts/settings.ts';
import { ArchgapError, usageError } from '../geometry/archgap-error.ts';
import { type BatchTableName, batchTables } from '../report/batch-tables.ts';
import type { LengthUnit } from '../scan/types.ts';
import { type Manifest, type ManifestRow, readManifest } from '../study/read-manifest.ts';
import type { NumberingScheme } from '../teeth/types.ts';
import { makeBatchProgress } from './batch-progress.ts';
import type { BatchSettings, RowInput, RowTask } from './batch-row-types.ts';
import { checkParts, type Unseen } from './check-parts.ts';
import type { CliIo } from './cli-io.ts';
import { type CommonFacts, mergeRow, ROWS_FOLDER } from './merge-row.ts';
import type { PartOption } from './option-values.ts';
import { makeOutputSet } from './output-set.ts';
import { readDocument } from './read-input.ts';
import { requireFolderName } from './require-folder-name.ts';
import { statedSettings } from './row-record.ts';
import { runRows } from './run-rows.ts';
import { stageBatchTables } from './stage-batch-tables.ts';

export interface BatchOptions {
  readonly out: string;
  readonly jobs?: number;
  readonly part?: PartOption;
  /** Folders of parts that were run apart. */
  readonly merge?: readonly string[];
  readonly limit?: number;
  readonly unit?: LengthUnit;
  /** File with the terms of the scanner. */
  readonly scanner?: string;
  readonly numbering: NumberingScheme;
}

/** How many failures are told one by one; the table holds all. */
const MOST_TOLD = 20;

/**
 * `archgap batch`: every scan of a list to its folder, and all together to tables and a data package.
 * @returns whether every row has a result
 */
export async function batch(manifestPath: string, options: BatchOptions, io: CliIo): Promise<boolean> {
  checkOptions(options);
  const pathOf = pathFromManifest(manifestPath, io);
  const manifest = await readDocument(io, manifestPath, (text) => readManifest(text, pathOf));
  const settings = await batchSettings(options, io);
  const rows = rowsOfPart(manifest, options.part);
  const outputs = makeOutputSet(io, [
    manifestPath,
    ...(options.scanner === undefined ? [] : [options.scanner]),
  ]);
  try {
    await outputs.prepareFolder(options.out);
    const tasks = rows.map((row) => taskOf(row, manifestPath, options.out, settings, io));
    const own = { version: io.version, settings: statedSettings(settings) };
    const { common, counts, unseen } = await runOrMerge(tasks, options, own, io);
    const tables = batchTables(manifest.carried);
    const written = await stageBatchTables(rows, tables, common, options.out, io, outputs);
    outputs.commit();
    const left = leftNotes(foldersOfNoRow(manifest, options.out, io), options.out, io);
    await io.out.write(
      summary(rows.length, counts, written.failures, [...unseenNotes(unseen), ...left], options, io),
    );
    return counts.failed === 0;
  } finally {
    outputs.discard();
  }
}

/**
 * Folders of results that no row of the list has: of a row that was renamed or taken out since. They are in no table, and
 * nothing is deleted that was measured once. Some file systems do not tell upper case from lower.
 */
function foldersOfNoRow({ rows }: Manifest, out: string, { files }: CliIo): readonly string[] {
  const known = new Set(rows.map(({ name }) => name.toLowerCase()));
  return files
    .foldersIn(files.join(files.resolve(out), ROWS_FOLDER))
    .filter((name) => !known.has(name.toLowerCase()))
    .sort();
}

function checkOptions({ out, part, merge, jobs, limit, unit, scanner }: BatchOptions): void {
  requireFolderName(out);
  if (merge === undefined) return;
  if (part !== undefined || jobs !== undefined) {
    throw usageError(
      'MERGE_MEASURES_NOTHING',
      '--merge takes what was measured; --part and --jobs go without it.',
    );
  }
  if (limit !== undefined || unit !== undefined || scanner !== undefined) {
    throw usageError(
      'MERGE_KEEPS_SETTINGS',
      '--merge keeps the settings of the parts; --limit, --unit and --scanner go with the parts.',
    );
  }
}

async function batchSettings(options: BatchOptions, io: CliIo): Promise<BatchSettings> {
  const { limit, scanner, unit, numbering } = options;
  return {
    measure: {
      ...DEFAULT_MEASURE_SETTINGS,
      ...(limit === undefined ? {} : { limitMm: limit }),
      ...(scanner === undefined ? {} : { scanner: await readDocument(io, scanner, readScannerProfile) }),
    },
    unit: unit ?? null,
    numbering,
  };
}

/**
 * How the tables write a path of the list: an absolute one as seen from the list's own folder. The tables are made to be
 * shared, and where a study lies on this machine is nobody's business.
 */
function pathFromManifest(manifestPath: string, { files }: CliIo): (told: string) => string {
  const base = files.parent(files.resolve(manifestPath));
  return (told) =>
    files.isAbsolute(told) ? (files.from(base, files.resolve(told)) ?? told) : withSlashes(told);
}

/** A path of a list that was written under Windows, `\\` between its parts, as it is written everywhere else. */
function withSlashes(path: string): string {
  return path.includes('/') ? path : path.replaceAll('\\', '/');
}

function rowsOfPart({ rows }: Manifest, part: PartOption | undefined): readonly ManifestRow[] {
  return part ? rows.filter((_, k) => k % part.of === part.part - 1) : rows;
}

function taskOf(
  row: ManifestRow,
  manifestPath: string,
  out: string,
  settings: BatchSettings,
  io: CliIo,
): RowTask {
  const { files } = io;
  const base = files.parent(files.resolve(manifestPath));
  const input = (told: string, listed: string): RowInput => {
    // As listed, not as told: an absolute path is written from the list's folder and would mean another file from here.
    // Where names may hold "\\", a file of that very name comes first.
    const places = [listed, withSlashes(listed)].flatMap((path) => [
      files.resolve(files.under(base, path)),
      files.resolve(path),
    ]);
    return { told, places: [...new Set(places)] };
  };
  return {
    name: row.name,
    scan: input(row.scan, row.listed.scan),
    clicks: input(row.clicks, row.listed.clicks),
    jaw: row.jaw,
    fault: row.fault,
    folder: files.join(files.join(files.resolve(out), ROWS_FOLDER), row.name),
    settings,
  };
}

interface RunResult {
  readonly common: CommonFacts;
  readonly counts: { readonly measured: number; readonly kept: number; readonly failed: number };
  readonly unseen: Unseen;
}

async function runOrMerge(
  tasks: readonly RowTask[],
  { merge, jobs }: BatchOptions,
  own: CommonFacts,
  io: CliIo,
): Promise<RunResult> {
  const progress = makeBatchProgress(tasks.length, io);
  try {
    if (merge === undefined) {
      await runRows(tasks, jobs ?? io.cores, io, progress.tell);
      return { common: own, counts: progress.counts, unseen: { notHere: 0, notRead: [] } };
    }
    const unseen = await checkParts(merge, tasks, io, progress.tellCompared);
    let common: CommonFacts | null = null;
    for (const task of tasks) {
      const merged = await mergeRow(task, merge, common, io);
      common = merged.common;
      progress.tell(merged.outcome);
      await io.pause();
      if (io.signal.aborted) throw stopped(progress.counts, tasks.length);
    }
    return { common: common ?? own, counts: progress.counts, unseen };
  } catch (fault) {
    if (!(fault instanceof ArchgapError)) throw fault;
    throw fault.kind === 'cancelled'
      ? stopped(progress.counts, tasks.length)
      : brokenOff(fault, progress.counts);
  } finally {
    progress.clear();
  }
}

function stopped({ measured, kept, failed }: RunResult['counts'], total: number): ArchgapError {
  return new ArchgapError(
    'cancelled',
    'CANCELLED',
    `The batch was stopped after ${measured + kept + failed} of ${total} scans; the same command goes on from there.`,
  );
}

/** A fault that ends the whole batch: what was finished before stays, and is not done again. */
function brokenOff(fault: ArchgapError, { measured, kept }: RunResult['counts']): ArchgapError {
  const done = measured + kept;
  if (done === 0) return fault;
  const sentence = fault.message.replace(/ ?Nothing was written\.$/, '');
  return new ArchgapError(
    fault.kind,
    fault.code,
    `${sentence} The ${done === 1 ? 'scan' : `${done} scans`} done before ${done === 1 ? 'is whole in its folder' : 'are whole in their folders'}; the same command goes on from there.`,
    { details: fault.details, cause: fault },
  );
}

function summary(
  total: number,
  { measured, kept, failed }: RunResult['counts'],
  failures: readonly { readonly row: string; readonly code: string; readonly sentence: string }[],
  notes: readonly string[],
  { out, merge }: BatchOptions,
  io: CliIo,
): string {
  const names: Readonly<Record<BatchTableName, string>> = {
    contacts: 'contacts.csv',
    teeth: 'teeth.csv',
    rows: 'rows.csv',
    failures: 'failures.csv',
  };
  const keptWords = merge ? `${kept} taken over` : `${kept} unchanged since before`;
  const lines = [
    `${total === 1 ? '1 scan' : `${total} scans`}: ${merge ? '' : `${measured} measured, `}${keptWords}, ${failed} failed.`,
    ...failures.slice(0, MOST_TOLD).map(({ row, code, sentence }) => `  ${row}: ${code}: ${sentence}`),
    ...(failures.length > MOST_TOLD ? [`  and ${failures.length - MOST_TOLD} more in failures.csv`] : []),
    ...notes,
    `Wrote ${Object.values(names).join(', ')} and datapackage.json to ${io.files.join(out, '')}`,
  ];
  return `${lines.join('\n')}\n`;
}

/** Without the scans, nothing tells two studies apart whose rows and files are called alike. */
function unseenNotes({ notHere, notRead }: Unseen): readonly string[] {
  const notes: string[] = [];
  if (notHere > 0)
    notes.push(
      `Note SCANS_NOT_HERE: ${takenByName(notHere)}, for the scans of the list are not here to be compared with; check that the folders are of this study.`,
    );
  if (notRead.length > 0) {
    const told = notRead.slice(0, MOST_TOLD).map(({ row, sentence }) => `  ${row}: ${sentence}`);
    const more = notRead.length - told.length;
    notes.push(
      `Note SCANS_NOT_READ: ${takenByName(notRead.length)}, for the scans of the list cannot be read to be compared with; check that the folders are of this study.`,
      ...told,
      ...(more > 0 ? [`  and ${more} more`] : []),
    );
  }
  return notes;
}

function takenByName(rows: number): string {
  return `${rows === 1 ? '1 row was' : `${rows} rows were`} taken over by name`;
}

function leftNotes(left: readonly string[], out: string, io: CliIo): readonly string[] {
  return left.length === 0 ? [] : [leftSentence(left, io.files.join(out, ROWS_FOLDER))];
}

function leftSentence(left: readonly string[], folder: string): string {
  const told = left.slice(0, MOST_TOLD).join(', ');
  const more = left.length > MOST_TOLD ? ` and ${left.length - MOST_TOLD} more` : '';
  const one = left.length === 1;
  return `Note FOLDERS_OF_NO_ROW: ${folder} holds ${one ? 'a folder' : `${left.length} folders`} of no row of the list: ${told}${more}. A row that is renamed or taken out leaves its folder; ${one ? 'it is' : 'they are'} in no table, and ${one ? 'can be deleted when it is' : 'can be deleted when they are'} not needed.`;
}
