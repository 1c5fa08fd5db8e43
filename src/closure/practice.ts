import * as v from 'valibot';
import { inputError } from '../geometry/archgap-error.ts';
import { schemaFault } from '../geometry/schema-fault.ts';
import { DEFAULT_CLOSURE_SETTINGS } from './settings.ts';
import type { ClosureSettings, SpanRule } from './types.ts';

/** What a practice holds to unless a case asks for something else: the start of every new case. */
export interface Practice {
  readonly limitMm: number;
  readonly maxStages: number;
  readonly perStageMm: number;
  readonly perStageRad: number;
  readonly expression: number;
  readonly spanRule: SpanRule;
  /** Text of the practice before and after what the plan says in the note; empty = none. */
  readonly noteBefore: string;
  readonly noteAfter: string;
}

/** The part of a case that a practice has a word in. */
export type PracticeChoices = Pick<
  ClosureSettings,
  'limitMm' | 'maxStages' | 'perStageMm' | 'perStageRad' | 'expression' | 'spanRule'
>;

const PRACTICE_SCHEMA = 'archgap-practice/1';

export const DEFAULT_PRACTICE: Practice = {
  limitMm: DEFAULT_CLOSURE_SETTINGS.limitMm,
  maxStages: DEFAULT_CLOSURE_SETTINGS.maxStages,
  perStageMm: DEFAULT_CLOSURE_SETTINGS.perStageMm,
  perStageRad: DEFAULT_CLOSURE_SETTINGS.perStageRad,
  expression: DEFAULT_CLOSURE_SETTINGS.expression,
  spanRule: 'shortest',
  noteBefore: '',
  noteAfter: '',
};

/** What the span rules are called where a person reads them. */
const SPAN_RULE_NAMES: Readonly<Record<SpanRule, string>> = {
  shortest: 'the shortest span that closes all',
  'widens-nothing': 'the shortest that widens no contact',
  'terminal-molars': 'last tooth to last tooth',
};

const DEG = Math.PI / 180;
const DEGREE_DECIMALS = 6;
const MOST_NOTE = 2000;
const within = (least: number, most: number) =>
  v.pipe(v.number(), v.finite(), v.minValue(least), v.maxValue(most));

const practiceFile = v.object({
  schema: v.literal(PRACTICE_SCHEMA),
  limit_mm: within(0, 5),
  max_stages: v.pipe(within(1, 99), v.integer()),
  per_stage_mm: within(0.01, 2),
  per_stage_deg: within(0.1, 10),
  expression: within(0.1, 1),
  span_rule: v.picklist(['shortest', 'widens-nothing', 'terminal-molars']),
  note_before: v.pipe(v.string(), v.maxLength(MOST_NOTE)),
  note_after: v.pipe(v.string(), v.maxLength(MOST_NOTE)),
});

/** The preferences as a file, `archgap-practice/1`. */
export function writePractice(practice: Practice): string {
  const file: v.InferOutput<typeof practiceFile> = {
    schema: PRACTICE_SCHEMA,
    limit_mm: practice.limitMm,
    max_stages: practice.maxStages,
    per_stage_mm: practice.perStageMm,
    per_stage_deg: Number((practice.perStageRad / DEG).toFixed(DEGREE_DECIMALS)),
    expression: practice.expression,
    span_rule: practice.spanRule,
    note_before: practice.noteBefore,
    note_after: practice.noteAfter,
  };
  return `${JSON.stringify(file, null, 2)}\n`;
}

/**
 * Reads preferences back.
 *
 * @throws ArchgapError `PRACTICE_FILE`, with the field that is wrong
 */
export function readPractice(text: string): Practice {
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch (cause) {
    throw inputError('PRACTICE_FILE', 'The preferences are not JSON; expected an archgap-practice/1 file.', {
      cause,
    });
  }
  const result = v.safeParse(practiceFile, value);
  if (!result.success) {
    const [issue] = result.issues;
    const where = issue.path ? v.getDotPath(issue) : null;
    throw inputError(
      'PRACTICE_FILE',
      `The preferences cannot be read: ${where === null ? '' : `"${where}": `}${schemaFault(issue, practiceFile)}; correct them, or save them from the page again (docs/formats.md describes archgap-practice/1).`,
    );
  }
  const file = result.output;
  return {
    limitMm: file.limit_mm,
    maxStages: file.max_stages,
    perStageMm: file.per_stage_mm,
    perStageRad: file.per_stage_deg * DEG,
    expression: file.expression,
    spanRule: file.span_rule,
    noteBefore: file.note_before,
    noteAfter: file.note_after,
  };
}

/** One place where a case departs from the practice. */
export interface Departure {
  readonly setting: keyof PracticeChoices;
  /** `at most 5 stages (practice: 3)`. */
  readonly text: string;
}

/** Angles that went through a file in degrees differ from those that did not by less than this, rad. */
const SAME_ANGLE_RAD = 1e-6;

/** Where a case departs from the practice, in words. */
export function departures(choices: PracticeChoices, practice: Practice): Departure[] {
  const found: Departure[] = [];
  const say = (setting: keyof PracticeChoices, differs: boolean, text: string) => {
    if (differs) found.push({ setting, text });
  };
  const mm = (value: number): string => `${value.toFixed(2)} mm`;
  const degrees = (value: number): string => `${(value / DEG).toFixed(1)}°`;
  const percent = (value: number): string => `${Math.round(value * 100)} %`;
  say(
    'limitMm',
    choices.limitMm !== practice.limitMm,
    `limit ${mm(choices.limitMm)} (practice: ${mm(practice.limitMm)})`,
  );
  say(
    'maxStages',
    choices.maxStages !== practice.maxStages,
    `at most ${choices.maxStages} stages (practice: ${practice.maxStages})`,
  );
  say(
    'perStageMm',
    choices.perStageMm !== practice.perStageMm,
    `${mm(choices.perStageMm)} per stage (practice: ${mm(practice.perStageMm)})`,
  );
  say(
    'perStageRad',
    Math.abs(choices.perStageRad - practice.perStageRad) > SAME_ANGLE_RAD,
    `${degrees(choices.perStageRad)} per stage (practice: ${degrees(practice.perStageRad)})`,
  );
  say(
    'expression',
    choices.expression !== practice.expression,
    `${percent(choices.expression)} expressed (practice: ${percent(practice.expression)})`,
  );
  const rule = choices.spanRule ?? 'shortest';
  say(
    'spanRule',
    rule !== practice.spanRule,
    `span: ${SPAN_RULE_NAMES[rule]} (practice: ${SPAN_RULE_NAMES[practice.spanRule]})`,
  );
  return found;
}
