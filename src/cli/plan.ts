import { completePlan, type PlanSurfaces } from '../closure/complete-plan.ts';
import type { Departure, Practice } from '../closure/practice.ts';
import type { OpposingScan } from '../closure/room.ts';
import type { ClosurePlan } from '../closure/types.ts';
import { withLimit } from '../contacts/decide.ts';
import type { Analysis } from '../contacts/types.ts';
import { ArchgapError, inputError, usageError } from '../geometry/archgap-error.ts';
import { type JobControl, subJob } from '../geometry/job-control.ts';
import { firmnessSentence, planHeadline } from '../report/answer-words.ts';
import { type NoteWords, writeClosureNote } from '../report/closure-note.ts';
import { writePlanCsv } from '../report/plan-csv.ts';
import { writePlanJson } from '../report/plan-json.ts';
import { type LabelledMesh, readLabelledPly } from '../report/read-labelled-ply.ts';
import { readResultJson } from '../report/read-result-json.ts';
import { readScan } from '../scan/read-scan.ts';
import { sha256 } from '../scan/sha256.ts';
import type { LengthUnit } from '../scan/types.ts';
import type { CliIo } from './cli-io.ts';
import { makeOutputSet } from './output-set.ts';
import { type PlanChoices, readPlanSettings } from './plan-settings.ts';
import { ofFile, readBytes, readDocument, withOpenFile } from './read-input.ts';
import { requireFolderName } from './require-folder-name.ts';
import { besideResult } from './result-beside.ts';
import { namingStalePlan } from './stale-plan.ts';
import { makeTerminalJob } from './terminal-progress.ts';
import { parsedText } from './text-of.ts';

export interface PlanOptions extends PlanChoices {
  readonly out: string;
  /** The opposing arch, in the frame of the scan that was measured. */
  readonly opposing?: string;
  /** What was measured of the opposing arch. */
  readonly opposingResult?: string;
  /** Of the opposing scan. */
  readonly unit?: LengthUnit;
}

/** `archgap plan`: a result to the span of tightening stages that would close what is open. */
export async function plan(resultPath: string, options: PlanOptions, io: CliIo): Promise<void> {
  requireFolderName(options.out);
  if (options.unit !== undefined && options.opposing === undefined) {
    throw usageError(
      'UNIT_WITHOUT_SCAN',
      '--unit is that of the --opposing scan; a result is in millimetres.',
    );
  }
  const job = makeTerminalJob(io);
  const { opposing: opposingPath, opposingResult, practice: practicePath } = options;
  const inputs = [resultPath, opposingPath, opposingResult, practicePath];
  const outputs = makeOutputSet(
    io,
    inputs.filter((path) => path !== undefined),
  );
  try {
    await outputs.prepareFolder(options.out);
    const resultBytes = await readBytes(io, resultPath);
    const read = ofFile(resultPath, () => parsedText(resultBytes, resultPath, readResultJson));
    const planned = await readPlanSettings(options, read, io);
    const { settings, practice } = planned;
    const analysis = read.settings.limitMm === settings.limitMm ? read : withLimit(read, settings.limitMm);
    const opposingArch =
      opposingResult === undefined ? null : await readDocument(io, opposingResult, readResultJson);
    const labelled = await readLabelled(io, resultPath, analysis);
    const opposing = await readOpposing(options, analysis, io, subJob(job, 0, 0.4));
    if (opposing !== null && labelled.mesh === null) {
      throw usageError(
        'OPPOSING_NEEDS_LABELS',
        `--opposing needs the crowns of the scan: ${labelled.sentence} Measure again into one folder.`,
      );
    }
    const surfaces: PlanSurfaces | null = labelled.mesh && { ...labelled.mesh, opposing };
    const closure = await completePlan(analysis, settings, surfaces, subJob(job, 0.4, 1), opposingArch);
    const contents: readonly (readonly [string, string])[] = [
      [
        'plan.json',
        writePlanJson(closure, analysis, {
          version: io.version,
          resultSha256: await sha256(resultBytes),
          departures: planned.departures,
        }),
      ],
      ['plan.csv', writePlanCsv(closure)],
      ['note.txt', writeClosureNote(closure, analysis, options.numbering, noteWords(practice))],
    ];
    for (const [name, text] of contents) {
      await outputs.stage(io.files.join(options.out, name), new TextEncoder().encode(text));
    }
    await io.pause();
    outputs.commit();
    job.clear();
    await io.out.write(summary(closure, labelled.sentence, planned.departures, options, io));
  } catch (fault) {
    throw await namingStalePlan(fault, options.out, io);
  } finally {
    job.clear();
    outputs.discard();
  }
}

const LABELLED_NAME = 'labelled.ply';

/** The crowns that were measured, or in a sentence why there are none. */
interface Labelled {
  readonly mesh: LabelledMesh | null;
  readonly sentence: string;
}

/** The labelled file beside the result, where there is one and it is of that result. */
async function readLabelled(io: CliIo, resultPath: string, analysis: Analysis): Promise<Labelled> {
  const { files } = io;
  const tableOnly = 'so the spaces after the stages are by the linear rows of the model.';
  const own = besideResult(resultPath, LABELLED_NAME, files);
  // Under the name that `measure` gives it, too: somebody may have renamed the result alone.
  const plain = files.join(files.parent(own), LABELLED_NAME);
  const found = (await readIfThere(io, own)) ?? (own === plain ? null : await readIfThere(io, plain));
  if (found === null) {
    return { mesh: null, sentence: `There is no ${files.baseName(own)} beside the result, ${tableOnly}` };
  }
  const name = files.baseName(found.path);
  const mesh = ofFile(found.path, () => readLabelledPly(found.bytes, analysis.originMm));
  const shown = new Set(mesh.labels);
  const absent = analysis.teeth.filter((record) => !shown.has(record.tooth));
  if (absent.length > 0) {
    return {
      mesh: null,
      sentence: `The ${name} beside the result belongs to another measurement (it has no tooth ${absent[0]!.tooth}), ${tableOnly}`,
    };
  }
  return { mesh, sentence: `Measured again on the moved crowns of ${name} beside the result.` };
}

async function readIfThere(
  io: CliIo,
  path: string,
): Promise<{ readonly path: string; readonly bytes: Uint8Array } | null> {
  try {
    return { path, bytes: await readBytes(io, path) };
  } catch (fault) {
    if (fault instanceof ArchgapError && fault.code === 'FILE_NOT_FOUND') return null;
    throw fault;
  }
}

/** @throws ArchgapError `OPPOSING_IS_THIS_SCAN`, and as `readScan` */
async function readOpposing(
  { opposing, unit }: PlanOptions,
  { sources }: Analysis,
  io: CliIo,
  control: JobControl,
): Promise<OpposingScan | null> {
  if (opposing === undefined) return null;
  const fileName = io.files.baseName(opposing);
  const about = { fileName, unit: unit ?? null, control };
  const scan = await withOpenFile(io, opposing, (file) => readScan(file, about));
  if (sources.some(({ sha256 }) => sha256 === scan.source.sha256)) {
    throw inputError(
      'OPPOSING_IS_THIS_SCAN',
      `"${opposing}" was itself measured for this result, byte for byte; name the scan of the other jaw.`,
    );
  }
  return { positions: scan.positions, triangles: scan.triangles, originMm: scan.originMm, fileName };
}

/** The practice's own words round the note. */
function noteWords(practice: Practice | null): NoteWords {
  return practice === null
    ? { before: '', after: '' }
    : { before: practice.noteBefore, after: practice.noteAfter };
}

function summary(
  closure: ClosurePlan,
  basis: string,
  departing: readonly Departure[] | null,
  { numbering, out }: PlanOptions,
  io: CliIo,
): string {
  const firmness = firmnessSentence(closure);
  const lines = [
    planHeadline(closure, numbering),
    ...closure.reasons.map((reason) => `  ${reason.sentence}`),
    ...(firmness === null ? [] : [firmness]),
    closure.commonPractice.sentence,
    basis,
    ...(departing === null ? [] : [departuresText(departing)]),
    `Wrote plan.json, plan.csv and note.txt to ${io.files.join(out, '')}`,
  ];
  return `${lines.join('\n')}\n`;
}

function departuresText(departing: readonly Departure[]): string {
  if (departing.length === 0) return 'Planned as the practice does.';
  return `Departs from the practice: ${departing.map(({ text }) => text).join('; ')}.`;
}
