import { planClosure } from '../closure/plan-closure.ts';
import { DEFAULT_CLOSURE_SETTINGS } from '../closure/settings.ts';
import type { ArchPart, ClosurePlan, ClosureSettings } from '../closure/types.ts';
import { withLimit } from '../contacts/decide.ts';
import type { Analysis } from '../contacts/types.ts';
import { usageError } from '../geometry/archgap-error.ts';
import { planHeadline } from '../report/answer-words.ts';
import { writeClosureNote } from '../report/closure-note.ts';
import { writePlanCsv } from '../report/plan-csv.ts';
import { writePlanJson } from '../report/plan-json.ts';
import { readResultJson } from '../report/result-json.ts';
import type { NumberingScheme, ToothNumber } from '../teeth/types.ts';
import type { CliIo } from './cli-io.ts';
import { makeOutputSet } from './output-set.ts';
import { readText } from './read-input.ts';

export interface PlanOptions {
  readonly out: string;
  readonly limit?: number;
  readonly maxStages?: number;
  readonly perStage?: number;
  readonly moved?: ArchPart;
  readonly reduction?: ArchPart;
  readonly fixed?: readonly ToothNumber[];
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
  const outputs = makeOutputSet(io, [resultPath]);
  try {
    await outputs.prepareFolder(options.out);
    const read = readResultJson(await readText(io, resultPath));
    checkFixed(options.fixed ?? [], read);
    const analysis = options.limit === undefined ? read : withLimit(read, options.limit);
    const closure = planClosure(analysis, settingsOf(options, analysis));
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
    await io.out.write(summary(closure, options, io));
  } finally {
    outputs.discard();
  }
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
    numbering: options.numbering,
  };
}

function summary(closure: ClosurePlan, { numbering, out }: PlanOptions, io: CliIo): string {
  const lines = [
    planHeadline(closure, numbering),
    ...closure.reasons.map((reason) => `  ${reason.sentence}`),
    closure.commonPractice.sentence,
    `Wrote plan.json, plan.csv and note.txt to ${io.files.join(out, '')}`,
  ];
  return `${lines.join('\n')}\n`;
}
