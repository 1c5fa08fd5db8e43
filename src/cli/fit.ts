import { fitOnScan } from '../contacts/fit-on-scan.ts';
import { DEFAULT_FIT_TARGET, type FitTarget } from '../contacts/fit-types.ts';
import { readScannerProfile } from '../contacts/scanner-profile.ts';
import { DEFAULT_MEASURE_SETTINGS } from '../contacts/settings.ts';
import { usageError } from '../geometry/archgap-error.ts';
import { subJob } from '../geometry/job-control.ts';
import { writeFitCsv } from '../report/fit-csv.ts';
import { writeFitHtml } from '../report/fit-html.ts';
import { type FitRecord, writeFitJson } from '../report/fit-json.ts';
import { describeFitSide, targetWords } from '../report/fit-words.ts';
import { readScan } from '../scan/read-scan.ts';
import type { LengthUnit } from '../scan/types.ts';
import { parseClickFile } from '../teeth/clicks.ts';
import { formatTooth, jawOf } from '../teeth/notation.ts';
import { sentenceIn } from '../teeth/sentence-in.ts';
import type { NumberingScheme, ToothNumber } from '../teeth/types.ts';
import type { CliIo } from './cli-io.ts';
import { measureClicked, namingTheUnit, readClickedScan } from './measure-scan-file.ts';
import { makeOutputSet } from './output-set.ts';
import { readDocument, withOpenFile } from './read-input.ts';
import { requireFolderName } from './require-folder-name.ts';
import { makeTerminalJob } from './terminal-progress.ts';

export interface FitOptions {
  readonly tooth: ToothNumber;
  readonly clicks: string;
  readonly out: string;
  readonly target?: FitTarget;
  readonly unit?: LengthUnit;
  /** File with the terms of the scanner. */
  readonly scanner?: string;
  readonly numbering: NumberingScheme;
}

/** `archgap fit`: a designed restoration against its neighbours on a scan. */
export async function runFit(
  restorationPath: string,
  scanPath: string,
  options: FitOptions,
  io: CliIo,
): Promise<void> {
  requireFolderName(options.out);
  const { files } = io;
  const job = makeTerminalJob(io);
  const inputs = [restorationPath, scanPath, options.clicks, ...(options.scanner ? [options.scanner] : [])];
  const outputs = makeOutputSet(io, inputs);
  try {
    await outputs.prepareFolder(options.out);
    const clickFile = await readDocument(io, options.clicks, parseClickFile);
    if (jawOf(options.tooth) !== clickFile.jaw) {
      throw usageError(
        'TOOTH_WRONG_JAW',
        `--tooth ${options.tooth} belongs to the ${jawOf(options.tooth)} jaw, the clicks to the ${clickFile.jaw} jaw.`,
      );
    }
    const clicked = {
      fileName: files.baseName(scanPath),
      clicks: clickFile,
      clicksName: options.clicks,
      unit: options.unit ?? null,
    };
    const { scan, clicks } = await withOpenFile(io, scanPath, (file) =>
      readClickedScan({ ...clicked, file }, subJob(job, 0, 0.15)),
    );
    const about = {
      fileName: files.baseName(restorationPath),
      // One frame, one unit: a single crown alone does not show its unit.
      unit: scan.source.unit.unit,
      control: subJob(job, 0.15, 0.3),
    };
    const restoration = await withOpenFile(io, restorationPath, (file) => readScan(file, about));
    const settings = {
      ...DEFAULT_MEASURE_SETTINGS,
      ...(options.scanner === undefined
        ? {}
        : { scanner: await readDocument(io, options.scanner, readScannerProfile) }),
    };
    const { analysis, labels } = await namingTheUnit(scan, () =>
      measureClicked(scan, clicks, settings, subJob(job, 0, 0.9)),
    );
    const target = options.target ?? DEFAULT_FIT_TARGET;
    const fit = await fitOnScan(
      restoration,
      options.tooth,
      scan,
      labels,
      analysis,
      target,
      subJob(job, 0.9, 1),
    );
    const record: FitRecord = {
      tooth: options.tooth,
      restoration: restoration.source,
      scan: scan.source,
      originMm: scan.originMm,
      target,
      ...fit,
    };
    const { version } = io;
    const createdAt = io.now().toISOString();
    const contents: readonly (readonly [string, string])[] = [
      ['fit.csv', writeFitCsv(record.tooth, record.sides)],
      ['fit.json', writeFitJson(record, { version })],
      ['report.html', writeFitHtml(record, { numbering: options.numbering, version, createdAt })],
    ];
    for (const [name, text] of contents) {
      await outputs.stage(files.join(options.out, name), new TextEncoder().encode(text));
    }
    outputs.commit();
    job.clear();
    const lines = [
      `${formatTooth(record.tooth, options.numbering)}, wanted ${targetWords(target)}`,
      ...record.sides.map((side) => `  ${describeFitSide(side, record.target, options.numbering)}`),
      ...record.warnings.map((warning) => `Note ${warning.code}: ${sentenceIn(warning, options.numbering)}`),
      `Wrote fit.csv, fit.json and report.html to ${files.join(options.out, '')}`,
    ];
    await io.out.write(`${lines.join('\n')}\n`);
  } finally {
    job.clear();
    outputs.discard();
  }
}
