import { crownContactViews } from '../contacts/crown-contact-view.ts';
import { measureCrowns } from '../contacts/measure-crowns.ts';
import { mergeCrowns } from '../contacts/merge-crowns.ts';
import { readScannerProfile } from '../contacts/scanner-profile.ts';
import { DEFAULT_MEASURE_SETTINGS } from '../contacts/settings.ts';
import type { MeasureSettings } from '../contacts/types.ts';
import { ArchgapError, usageError } from '../geometry/archgap-error.ts';
import { type JobControl, subJob } from '../geometry/job-control.ts';
import { detectFormat } from '../scan/detect-format.ts';
import { readScan } from '../scan/read-scan.ts';
import type { LengthUnit } from '../scan/types.ts';
import { parseClickFile } from '../teeth/clicks.ts';
import { jawOf, toothSortIndex } from '../teeth/notation.ts';
import type { Jaw } from '../teeth/types.ts';
import type { CliIo } from './cli-io.ts';
import { measureCase, namesCaseFile } from './measure-case.ts';
import type { MeasureOptions } from './measure-options.ts';
import { type ClickedScan, type Measured, measureRead, readClickedScan } from './measure-scan-file.ts';
import { measureSummary } from './measure-summary.ts';
import { noCaseFile } from './open-case.ts';
import type { CrownOption } from './option-values.ts';
import { makeOutputSet } from './output-set.ts';
import { readDocument, withOpenFile } from './read-input.ts';
import { requireFolderName } from './require-folder-name.ts';
import { planDefault, resultFiles } from './result-files.ts';
import { stalePlanNotes } from './stale-plan.ts';
import { makeTerminalJob } from './terminal-progress.ts';

/** `archgap measure`: one scan with clicks, separate crowns, or a case file, to the contact files. */
export async function measure(
  scanPath: string | undefined,
  options: MeasureOptions,
  io: CliIo,
): Promise<void> {
  if (await namesCaseFile(scanPath, options, io)) return measureCase(scanPath, options, io);
  const sources = checkSources(scanPath, options, await isJson(io, scanPath, options));
  requireFolderName(options.out);
  const settings: MeasureSettings = {
    ...DEFAULT_MEASURE_SETTINGS,
    ...(options.limit === undefined ? {} : { limitMm: options.limit }),
    ...(options.scanner === undefined
      ? {}
      : { scanner: await readDocument(io, options.scanner, readScannerProfile) }),
  };
  const inputs = [
    ...(sources.kind === 'scan' ? [sources.scan, sources.clicks] : sources.crowns.map(({ path }) => path)),
    ...(options.scanner === undefined ? [] : [options.scanner]),
  ];
  const job = makeTerminalJob(io);
  const outputs = makeOutputSet(io, inputs);
  try {
    await outputs.prepareFolder(options.out);
    const measured =
      sources.kind === 'scan'
        ? await measureScan(sources.scan, sources.clicks, options.unit ?? null, settings, io, job)
        : await measureSeparate(sources.crowns, sources.jaw, options.unit ?? null, settings, io, job);
    const { numbering } = options;
    const closure = await planDefault(measured, numbering, subJob(job, 0.95, 1));
    const createdAt = io.now().toISOString();
    for (const [name, bytes] of resultFiles(measured, closure, {
      numbering,
      version: io.version,
      createdAt,
    })) {
      await outputs.stage(io.files.join(options.out, name), bytes);
    }
    await job.checkpoint(1, 'writing the files');
    outputs.commit();
    job.clear();
    const wrote = `Wrote contacts.csv, teeth.csv, result.json, labelled.ply and report.html to ${io.files.join(options.out, '')}`;
    const notes = await stalePlanNotes(options.out, io);
    await io.out.write(measureSummary(measured, closure, numbering, [...notes, wrote]));
  } finally {
    job.clear();
    outputs.discard();
  }
}

type Sources =
  | { readonly kind: 'scan'; readonly scan: string; readonly clicks: string }
  | { readonly kind: 'crowns'; readonly crowns: readonly CrownOption[]; readonly jaw: Jaw };

/** Whether JSON text stands in the place of a scan that has no clicks: it may be the clicks. */
async function isJson(io: CliIo, path: string | undefined, { clicks }: MeasureOptions): Promise<boolean> {
  if (path === undefined || clicks !== undefined) return false;
  try {
    await withOpenFile(io, path, async (file) => detectFormat(file, path));
    return false;
  } catch (fault) {
    // What else is wrong with it is said when there are clicks.
    if (fault instanceof ArchgapError) return fault.details.format === 'json';
    throw fault;
  }
}

/**
 * Which of the two ways was asked for.
 * @param scanIsJson - see `isJson`
 */
function checkSources(scan: string | undefined, options: MeasureOptions, scanIsJson: boolean): Sources {
  const { clicks, crown, jaw, passphraseFile } = options;
  if (crown && crown.length > 0) {
    if (scan !== undefined || clicks !== undefined) {
      throw usageError(
        'SCAN_OR_CROWNS',
        'Give either a scan with --clicks, or separate crowns with --crown, not both.',
      );
    }
    if (passphraseFile !== undefined) throw noCaseFile();
    if (jaw === undefined)
      throw usageError('JAW_MISSING', 'Separate crowns need --jaw upper or --jaw lower.');
    const stray = crown.find(({ tooth }) => jawOf(tooth) !== jaw);
    if (stray) {
      throw usageError(
        'TOOTH_WRONG_JAW',
        `Tooth ${stray.tooth} belongs to the ${jawOf(stray.tooth)} jaw, but --jaw says ${jaw}.`,
      );
    }
    if (crown.length < 2)
      throw usageError('ONE_CROWN', 'One crown has no neighbour; give at least two with --crown.');
    return { kind: 'crowns', crowns: crown, jaw };
  }
  if (scan === undefined) {
    throw usageError(
      'NO_SCAN',
      'Give a scan with --clicks, or separate crowns with --crown TOOTH=FILE and --jaw.',
    );
  }
  if (clicks === undefined) {
    throw usageError(
      'NO_CLICKS_FILE',
      scanIsJson
        ? `"${scan}" is JSON text, no scan. If it holds the clicks: archgap measure SCAN --clicks "${scan}" --out DIR.`
        : 'A scan needs --clicks CLICKS.json with one click per tooth.',
    );
  }
  if (passphraseFile !== undefined) throw noCaseFile();
  if (jaw !== undefined) {
    throw usageError('JAW_TWICE', '--jaw goes with --crown; with a scan the click file names the jaw.');
  }
  return { kind: 'scan', scan, clicks };
}

async function measureScan(
  scanPath: string,
  clicksPath: string,
  unit: LengthUnit | null,
  settings: MeasureSettings,
  io: CliIo,
  job: JobControl,
): Promise<Measured> {
  const read = await readFiles(scanPath, clicksPath, unit, io, subJob(job, 0, 0.3));
  return measureRead(read, clicksPath, settings, job);
}

async function readFiles(
  scanPath: string,
  clicksPath: string,
  unit: LengthUnit | null,
  io: CliIo,
  job: JobControl,
): Promise<ClickedScan> {
  const clicks = await readDocument(io, clicksPath, parseClickFile);
  const fileName = io.files.baseName(scanPath);
  return withOpenFile(io, scanPath, (file) =>
    readClickedScan({ fileName, file, clicks, clicksName: clicksPath, unit }, job),
  );
}

async function measureSeparate(
  options: readonly CrownOption[],
  jaw: Jaw,
  unit: LengthUnit | null,
  settings: MeasureSettings,
  io: CliIo,
  job: JobControl,
): Promise<Measured> {
  const crowns = [];
  // In arch order, so that files and teeth of the analysis stand in one order.
  const sorted = [...options].sort((a, b) => toothSortIndex(a.tooth) - toothSortIndex(b.tooth));
  for (const [k, { tooth, path }] of sorted.entries()) {
    const control = subJob(job, (0.4 * k) / options.length, (0.4 * (k + 1)) / options.length);
    const about = { fileName: io.files.baseName(path), unit, control };
    const scan = await withOpenFile(io, path, (file) => readScan(file, about));
    crowns.push({ tooth, scan });
  }
  const analysis = await measureCrowns(crowns, jaw, settings, subJob(job, 0.4, 0.95));
  const merged = mergeCrowns(crowns);
  const { mesh, labels, originMm } = merged;
  const crownViews = crownContactViews(merged, analysis);
  return { analysis, surface: { ...mesh, colors: null, originMm }, labels, warnings: [], crownViews };
}
