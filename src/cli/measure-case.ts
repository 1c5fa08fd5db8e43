import type { CaseArch, CaseContent } from '../casefile/types.ts';
import type { OpposingScan } from '../closure/room.ts';
import { readScannerProfile } from '../contacts/scanner-profile.ts';
import { DEFAULT_MEASURE_SETTINGS } from '../contacts/settings.ts';
import { inputError, usageError } from '../geometry/archgap-error.ts';
import { type JobControl, subJob } from '../geometry/job-control.ts';
import type { Vec3 } from '../geometry/types.ts';
import { writeClosureNote } from '../report/closure-note.ts';
import { writePlanCsv } from '../report/plan-csv.ts';
import { writePlanJson } from '../report/plan-json.ts';
import { readScan } from '../scan/read-scan.ts';
import { sha256 } from '../scan/sha256.ts';
import type { Scan } from '../scan/types.ts';
import { snapClicks } from '../teeth/clicks.ts';
import type { ClickSet, Jaw } from '../teeth/types.ts';
import type { CliIo } from './cli-io.ts';
import type { MeasureOptions } from './measure-options.ts';
import { type Measured, measureClicked } from './measure-scan-file.ts';
import { measureSummary } from './measure-summary.ts';
import { caseBytes, caseSaysIt, openCase } from './open-case.ts';
import { makeOutputSet } from './output-set.ts';
import { readDocument } from './read-input.ts';
import { requireFolderName } from './require-folder-name.ts';
import { type DefaultPlan, planRecord, resultFiles } from './result-files.ts';
import { stalePlanNotes } from './stale-plan.ts';
import { makeTerminalJob } from './terminal-progress.ts';

/** Whether the one file that `measure` was given is a case file. */
export async function namesCaseFile(
  path: string | undefined,
  { clicks, crown }: MeasureOptions,
  io: CliIo,
): Promise<boolean> {
  if (path === undefined || (crown?.length ?? 0) > 0) return false;
  if (clicks !== undefined && !/\.zip$/i.test(path)) return false;
  return (await caseBytes(io, path)) !== null;
}

/**
 * `archgap measure CASE.zip`: every clicked arch of a case to its contact files and its plan, with the limit, the
 * settings, the findings and the note of the case, and against the other arch. Two clicked arches go into folders
 * named after their jaws.
 */
export async function measureCase(
  path: string | undefined,
  options: MeasureOptions,
  io: CliIo,
): Promise<void> {
  checkOptions(options);
  const bytes = path === undefined ? null : await caseBytes(io, path);
  if (path === undefined || bytes === null) throw usageError('NO_SCAN', 'Give a case file.');
  const { content } = await openCase(io, bytes, options.passphraseFile);
  const clicked = content.arches.flatMap((arch) => {
    const clicks = clickSetOf(arch);
    return clicks === null ? [] : [{ arch, clicks }];
  });
  if (clicked.length === 0) {
    throw inputError(
      'CASE_WITHOUT_CLICKS',
      'No tooth is clicked in the case file, so there is nothing to measure; click the teeth in the page and save it again.',
    );
  }
  const job = makeTerminalJob(io);
  const outputs = makeOutputSet(io, [
    path,
    ...[options.scanner, options.passphraseFile].flatMap((one) => one ?? []),
  ]);
  const texts: (() => Promise<string>)[] = [];
  try {
    const folderOf = (jaw: Jaw) => (clicked.length === 1 ? options.out : io.files.join(options.out, jaw));
    for (const { clicks } of clicked) await outputs.prepareFolder(folderOf(clicks.jaw));
    const measured: Measured[] = [];
    for (const [k, { arch, clicks }] of clicked.entries()) {
      const control = subJob(job, (0.9 * k) / clicked.length, (0.9 * (k + 1)) / clicked.length);
      measured.push(await measureArch(arch, clicks, options, io, control));
    }
    for (const [k, { arch, clicks }] of clicked.entries()) {
      const control = subJob(job, 0.9 + (0.1 * k) / clicked.length, 0.9 + (0.1 * (k + 1)) / clicked.length);
      const [own, other] = k === 0 ? measured : measured.toReversed();
      if (!own) continue;
      const closure = await planArch(content, arch, own, other ?? null, options, control);
      const record: ArchRecord = { measured: own, closure };
      const folder = folderOf(clicks.jaw);
      for (const [name, file] of await recordFiles(record, arch, options, io)) {
        await outputs.stage(io.files.join(folder, name), file);
      }
      const names = record.closure.plan === null ? 'the contact files' : 'the contact files and the plan';
      const wrote = `Wrote ${names} to ${io.files.join(folder, '')}`;
      texts.push(async () =>
        measureSummary(record.measured, record.closure, options.numbering, [
          ...(await stalePlanNotes(folder, io)),
          wrote,
        ]),
      );
    }
    await job.checkpoint(1, 'writing the files');
    outputs.commit();
    job.clear();
    const told: string[] = [];
    for (const text of texts) told.push(await text());
    await io.out.write(told.join('\n'));
  } finally {
    job.clear();
    outputs.discard();
  }
}

function checkOptions({ clicks, jaw, unit, out }: MeasureOptions): void {
  const stray = [
    ['--clicks', clicks],
    ['--jaw', jaw],
    ['--unit', unit],
  ].find(([, value]) => value !== undefined)?.[0];
  if (stray !== undefined) throw caseSaysIt(stray);
  requireFolderName(out);
}

function clickSetOf({ inputs: { jaw, clicks, missing, fixed } }: CaseArch): ClickSet | null {
  if (jaw === null || !clicks.some((click) => click.tooth !== 'gum')) return null;
  return { jaw, clicks, missing, fixed };
}

interface ArchRecord {
  readonly measured: Measured;
  readonly closure: DefaultPlan;
}

async function measureArch(
  arch: CaseArch,
  clicks: ClickSet,
  options: MeasureOptions,
  io: CliIo,
  job: JobControl,
): Promise<Measured> {
  const { inputs } = arch;
  const limitMm = options.limit ?? inputs.limitMm;
  const scanner =
    options.scanner === undefined
      ? (inputs.scanner ?? null)
      : await readDocument(io, options.scanner, readScannerProfile);
  const settings = {
    ...DEFAULT_MEASURE_SETTINGS,
    limitMm,
    ...(scanner === null ? {} : { scanner }),
    ...(scanner !== null && options.scanner === undefined && inputs.scannerTakenOver
      ? { scannerTakenOver: inputs.scannerTakenOver }
      : {}),
  };
  const scan = await read(arch, subJob(job, 0, 0.3));
  const placed = placedOn(scan, arch, clicks);
  // A click that no surface is near belongs to another scan; where it lies stays as the page had it.
  snapClicks(scan, placed);
  return measureClicked(scan, placed, settings, job);
}

/**
 * The plan with what the case says, against its other arch.
 * @param other - what was measured on that arch; null where its teeth are not clicked
 */
async function planArch(
  content: CaseContent,
  arch: CaseArch,
  measured: Measured,
  other: Measured | null,
  options: MeasureOptions,
  job: JobControl,
): Promise<DefaultPlan> {
  const { inputs } = arch;
  const { limitMm } = measured.analysis.settings;
  const opposite = content.arches.find((one) => one !== arch);
  const opposing = opposite === undefined ? null : opposingOf(await read(opposite, subJob(job, 0, 0.5)));
  return planRecord(
    measured,
    {
      ...inputs.closure,
      limitMm,
      fixed: inputs.fixed,
      floss: inputs.floss,
      numbering: options.numbering,
    },
    opposing,
    subJob(job, 0.5, 1),
    other?.analysis ?? null,
  );
}

function read({ bytes, fileName, unit }: CaseArch, control: JobControl): Promise<Scan> {
  return readScan(bytes, { fileName, unit, control });
}

function opposingOf({ positions, triangles, originMm, source }: Scan): OpposingScan {
  return { positions, triangles, originMm, fileName: source.fileName };
}

/** The clicks in the frame of the scan as it was read now; the frame they were saved in may have had another origin. */
function placedOn(scan: Scan, { originMm }: CaseArch, clicks: ClickSet): ClickSet {
  const from = originMm ?? scan.originMm;
  const shift = from.map((value, k) => value - (scan.originMm[k] ?? 0));
  if (shift.every((value) => value === 0)) return clicks;
  const place = (point: Vec3): Vec3 => [
    point[0] + (shift[0] ?? 0),
    point[1] + (shift[1] ?? 0),
    point[2] + (shift[2] ?? 0),
  ];
  return { ...clicks, clicks: clicks.clicks.map((click) => ({ ...click, point: place(click.point) })) };
}

async function recordFiles(
  { measured, closure }: ArchRecord,
  { inputs }: CaseArch,
  { numbering }: MeasureOptions,
  io: CliIo,
): Promise<(readonly [name: string, bytes: Uint8Array])[]> {
  const { version } = io;
  const { analysis } = measured;
  const note = inputs.note?.text ?? null;
  const about = {
    numbering,
    version,
    createdAt: io.now().toISOString(),
    note,
    floss: inputs.floss,
    ...(inputs.heading === undefined ? {} : { heading: inputs.heading }),
  };
  const files = [...resultFiles(measured, closure, about)];
  const { plan } = closure;
  if (plan === null) return files;
  const text = (content: string) => new TextEncoder().encode(content);
  const resultSha256 = await sha256(files.find(([name]) => name === 'result.json')![1]);
  return [
    ...files,
    ['plan.json', text(writePlanJson(plan, analysis, { version, resultSha256 }))],
    ['plan.csv', text(writePlanCsv(plan))],
    ['note.txt', text(note ?? writeClosureNote(plan, analysis, numbering))],
  ];
}
