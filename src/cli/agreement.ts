import { inputError, usageError } from '../geometry/archgap-error.ts';
import { writeAgreementCsv } from '../report/agreement-csv.ts';
import { agreementHeadline, countSentences, writeAgreementHtml } from '../report/agreement-html.ts';
import { type AgreementSource, writeAgreementJson } from '../report/agreement-json.ts';
import { agreementPlots } from '../report/agreement-plots.ts';
import { agreementWarnings } from '../report/agreement-warnings.ts';
import { figureUnit } from '../report/agreement-words.ts';
import { studyPlotFile } from '../report/study-plot-frame.ts';
import { sha256 } from '../scan/sha256.ts';
import { assessAgreement } from '../study/assess-agreement.ts';
import { type NamedTable, repeatedMeasurements } from '../study/repeated-measurements.ts';
import type { CliFiles, CliIo } from './cli-io.ts';
import { makeOutputSet } from './output-set.ts';
import { readBytes } from './read-input.ts';
import { requireFolderName } from './require-folder-name.ts';
import { tellingScans, textOf } from './text-of.ts';

export interface AgreementOptions {
  readonly out: string;
  readonly value?: string;
  readonly target?: readonly string[];
  readonly by?: readonly string[];
}

/** Folder of the pictures. */
const PLOTS_FOLDER = 'plots';

/** `archgap agreement`: repeated measurements to figures of agreement. */
export async function agreement(
  tablePaths: readonly string[],
  options: AgreementOptions,
  io: CliIo,
): Promise<void> {
  requireFolderName(options.out);
  refuseOneFileTwice(tablePaths, io);
  const { tables, sources } = await readTables(tablePaths, io);
  const { value = null, target = null, by = null } = options;
  const data = tellingScans(tables, () => repeatedMeasurements(tables, { value, target, by }));
  const analyses = assessAgreement(data);
  const about = { version: io.version, sources };
  if (analyses.every(({ figures }) => figures === null)) {
    throw inputError(
      'AGREEMENT_TOO_FEW',
      `${analyses[0]?.refusal ?? ''} ${countSentences(data, analyses[0]).join(' ')}`,
    );
  }
  const outputs = makeOutputSet(io, tablePaths);
  const stage = (name: string, content: string) =>
    outputs.stage(io.files.join(options.out, name), new TextEncoder().encode(content));
  try {
    await outputs.prepareFolder(options.out);
    await outputs.prepareFolder(io.files.join(options.out, PLOTS_FOLDER));
    await stage('agreement.csv', writeAgreementCsv(data, analyses));
    await stage('agreement.json', writeAgreementJson(data, analyses, about));
    const unit = figureUnit(data.unit, analyses);
    await stage('report.html', writeAgreementHtml(data, analyses, about));
    for (const [k, analysis] of analyses.entries()) {
      for (const { name, svg } of agreementPlots(analysis, k, unit))
        await stage(io.files.join(PLOTS_FOLDER, `${name}.svg`), studyPlotFile(svg));
    }
    outputs.commit();
  } finally {
    outputs.discard();
  }
  const lines = [
    agreementHeadline(data, analyses),
    ...agreementWarnings(data, analyses, sources).map(({ code, sentence }) => `Note ${code}: ${sentence}`),
    ...countSentences(data, analyses[0]),
    `Wrote agreement.csv, agreement.json, report.html and ${PLOTS_FOLDER} to ${io.files.join(options.out, '')}`,
  ];
  await io.out.write(`${lines.join('\n')}\n`);
}

/** A file agrees with itself: as two occasions it would show an agreement that nobody measured. */
function refuseOneFileTwice(paths: readonly string[], { files }: CliIo): void {
  const named = new Map<string, string>();
  for (const path of paths) {
    const place = placeIfPlain(path, files);
    if (place === null) continue;
    const before = named.get(place);
    if (before !== undefined) {
      throw usageError(
        'TABLE_GIVEN_TWICE',
        `"${before}" and "${path}" are one file; give the table of every occasion once.`,
      );
    }
    named.set(place, path);
  }
}

/** Null where no plain file is: it is told when it is read. */
function placeIfPlain(path: string, files: CliFiles): string | null {
  try {
    return files.placeOf(path);
  } catch {
    return null;
  }
}

async function readTables(
  paths: readonly string[],
  io: CliIo,
): Promise<{ readonly tables: readonly NamedTable[]; readonly sources: readonly AgreementSource[] }> {
  const names = paths.map((path) => io.files.baseName(path));
  const tables: NamedTable[] = [];
  const sources: AgreementSource[] = [];
  for (const [k, path] of paths.entries()) {
    const bytes = await readBytes(io, path);
    const fileName = names[k]!;
    // Tables of one name, one per folder, are told apart by their paths.
    const isAlone = names.filter((name) => name === fileName).length === 1;
    const name = isAlone ? fileName : path;
    tables.push({ name, text: textOf(bytes, path) });
    sources.push({ fileName, name, sha256: await sha256(bytes) });
  }
  return { tables, sources };
}
