import { completePlan, type PlanSurfaces } from '../closure/complete-plan.ts';
import type { OpposingScan } from '../closure/room.ts';
import { DEFAULT_CLOSURE_SETTINGS } from '../closure/settings.ts';
import type { ArchPart, ClosurePlan, ClosureSettings, SpanRule } from '../closure/types.ts';
import { withLimit } from '../contacts/decide.ts';
import type { Analysis } from '../contacts/types.ts';
import { ArchgapError, usageError } from '../geometry/archgap-error.ts';
import { type JobControl, subJob } from '../geometry/job-control.ts';
import { firmnessSentence, planHeadline } from '../report/answer-words.ts';
import { writeClosureNote } from '../report/closure-note.ts';
import { writePlanCsv } from '../report/plan-csv.ts';
import { writePlanJson } from '../report/plan-json.ts';
import { type LabelledMesh, readLabelledPly } from '../report/read-labelled-ply.ts';
import { readResultJson } from '../report/result-json.ts';
import { readScan } from '../scan/read-scan.ts';
import type { LengthUnit } from '../scan/types.ts';
import type { NumberingScheme, ToothNumber } from '../teeth/types.ts';
import type { CliIo } from './cli-io.ts';
import { makeOutputSet } from './output-set.ts';
import { readBytes, readText } from './read-input.ts';
import { makeTerminalJob } from './terminal-progress.ts';

export interface PlanOptions {
  readonly out: string;
  readonly limit?: number;
  readonly maxStages?: number;
  readonly perStage?: number;
  readonly moved?: ArchPart;
  readonly reduction?: ArchPart;
  readonly fixed?: readonly ToothNumber[];
  readonly spanRule?: SpanRule;
  /** The opposing arch, in the frame of the scan that was measured. */
  readonly opposing?: string;
  /** Of the opposing scan. */
  readonly unit?: LengthUnit;
  readonly numbering: NumberingScheme;
}

/** `archgap plan`: a result to the span of tightening stages that would close what is open. */
export async function plan(resultPath: string, options: PlanOptions, io: CliIo): Promise<void> {
  if (options.out === '-' || options.out === '') {
    throw usageError(
      'OUT_NOT_A_FOLDER',
      '--out names a folder for several files; standard output cannot take them.',
    );
  }
  if (options.unit !== undefined && options.opposing === undefined) {
    throw usageError(
      'UNIT_WITHOUT_SCAN',
      '--unit is that of the --opposing scan; a result is in millimetres.',
    );
  }
  const labelledPath = io.files.join(io.files.parent(io.files.resolve(resultPath)), LABELLED_NAME);
  const job = makeTerminalJob(io);
  const outputs = makeOutputSet(io, [
    resultPath,
    ...(options.opposing === undefined ? [] : [options.opposing]),
  ]);
  try {
    await outputs.prepareFolder(options.out);
    const read = readResultJson(await readText(io, resultPath));
    checkFixed(options.fixed ?? [], read);
    const analysis = options.limit === undefined ? read : withLimit(read, options.limit);
    const labelled = await readLabelled(io, labelledPath, analysis);
    const opposing = await readOpposing(options, io, subJob(job, 0, 0.4));
    if (opposing !== null && labelled.mesh === null) {
      throw usageError(
        'OPPOSING_NEEDS_LABELS',
        `--opposing needs the crowns of the scan: ${labelled.sentence} Measure again into one folder.`,
      );
    }
    const surfaces: PlanSurfaces | null = labelled.mesh && { ...labelled.mesh, opposing };
    const closure = await completePlan(
      analysis,
      settingsOf(options, analysis),
      surfaces,
      subJob(job, 0.4, 1),
    );
    const contents: readonly (readonly [string, string])[] = [
      ['plan.json', writePlanJson(closure, analysis, { version: io.version })],
      ['plan.csv', writePlanCsv(closure)],
      ['note.txt', writeClosureNote(closure, analysis, options.numbering)],
    ];
    for (const [name, text] of contents) {
      await outputs.stage(io.files.join(options.out, name), new TextEncoder().encode(text));
    }
    await io.pause();
    outputs.commit();
    job.clear();
    await io.out.write(summary(closure, labelled.sentence, options, io));
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
async function readLabelled(io: CliIo, path: string, analysis: Analysis): Promise<Labelled> {
  const tableOnly = 'so the spaces after the stages are by the linear rows of the model.';
  let bytes: Uint8Array;
  try {
    bytes = await readBytes(io, path);
  } catch (fault) {
    if (!(fault instanceof ArchgapError && fault.code === 'FILE_NOT_FOUND')) throw fault;
    return { mesh: null, sentence: `There is no labelled.ply beside the result, ${tableOnly}` };
  }
  const mesh = readLabelledPly(bytes, analysis.originMm);
  const shown = new Set(mesh.labels);
  const absent = analysis.teeth.filter((record) => !shown.has(record.tooth));
  if (absent.length > 0) {
    return {
      mesh: null,
      sentence: `The labelled.ply beside the result belongs to another measurement (it has no tooth ${absent[0]!.tooth}), ${tableOnly}`,
    };
  }
  return { mesh, sentence: 'Measured again on the moved crowns of labelled.ply beside the result.' };
}

async function readOpposing(
  { opposing, unit }: PlanOptions,
  io: CliIo,
  control: JobControl,
): Promise<OpposingScan | null> {
  if (opposing === undefined) return null;
  const fileName = io.files.baseName(opposing);
  const scan = await readScan(await readBytes(io, opposing), { fileName, unit: unit ?? null, control });
  return { positions: scan.positions, triangles: scan.triangles, originMm: scan.originMm, fileName };
}

function checkFixed(fixed: readonly ToothNumber[], analysis: Analysis): void {
  const stray = fixed.find((tooth) => !analysis.teeth.some((record) => record.tooth === tooth));
  if (stray === undefined) return;
  const present = analysis.teeth.map((record) => record.tooth).join(', ');
  throw usageError(
    'FIXED_NOT_PRESENT',
    `--fixed names tooth ${stray}, which the result does not hold; it holds ${present}.`,
  );
}

function settingsOf(options: PlanOptions, analysis: Analysis): ClosureSettings {
  return {
    ...DEFAULT_CLOSURE_SETTINGS,
    limitMm: analysis.settings.limitMm,
    maxStages: options.maxStages ?? DEFAULT_CLOSURE_SETTINGS.maxStages,
    perStageMm: options.perStage ?? DEFAULT_CLOSURE_SETTINGS.perStageMm,
    moved: options.moved ?? null,
    reduction: options.reduction ?? null,
    fixed: options.fixed ?? [],
    spanRule: options.spanRule ?? 'shortest',
    numbering: options.numbering,
  };
}

function summary(closure: ClosurePlan, basis: string, { numbering, out }: PlanOptions, io: CliIo): string {
  const firmness = firmnessSentence(closure);
  const lines = [
    planHeadline(closure, numbering),
    ...closure.reasons.map((reason) => `  ${reason.sentence}`),
    ...(firmness === null ? [] : [firmness]),
    closure.commonPractice.sentence,
    basis,
    `Wrote plan.json, plan.csv and note.txt to ${io.files.join(out, '')}`,
  ];
  return `${lines.join('\n')}\n`;
}
