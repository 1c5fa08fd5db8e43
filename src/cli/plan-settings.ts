import { type Departure, departures, type Practice, readPractice } from '../closure/practice.ts';
import { DEFAULT_CLOSURE_SETTINGS } from '../closure/settings.ts';
import type { ArchPart, ClosureSettings, FlossFinding, SpanRule } from '../closure/types.ts';
import type { Analysis } from '../contacts/types.ts';
import { usageError } from '../geometry/archgap-error.ts';
import type { NumberingScheme, ToothNumber } from '../teeth/types.ts';
import type { CliIo } from './cli-io.ts';
import { readDocument } from './read-input.ts';

/** A contact named on the command line, in either order. */
interface NamedContact {
  readonly toothA: ToothNumber;
  readonly toothB: ToothNumber;
}

/** The options of `archgap plan` that decide what is planned. */
export interface PlanChoices {
  readonly practice?: string;
  readonly limit?: number;
  readonly maxStages?: number;
  readonly perStage?: number;
  readonly perStageDeg?: number;
  readonly expression?: number;
  readonly moved?: ArchPart;
  readonly reduction?: ArchPart;
  readonly fixed?: readonly ToothNumber[];
  readonly spanRule?: SpanRule;
  /** Over-closure per contact. */
  readonly overClose?: readonly (NamedContact & { readonly mm: number })[];
  readonly floss?: readonly FlossFinding[];
  readonly numbering: NumberingScheme;
}

/** What a plan is made with, and where it departs from the practice; null without a practice. */
export interface PlanSettings {
  readonly settings: ClosureSettings;
  readonly practice: Practice | null;
  readonly departures: readonly Departure[] | null;
}

const DEG = Math.PI / 180;

/**
 * The settings of a plan: what an option says, else what the practice holds to, else what the planner starts from; the
 * limit without either is the one the result was measured with.
 *
 * @throws ArchgapError `FIXED_NOT_PRESENT`, `CONTACT_NOT_PRESENT`, `PRACTICE_FILE`, and those of reading a file
 */
export async function readPlanSettings(
  options: PlanChoices,
  analysis: Analysis,
  io: CliIo,
): Promise<PlanSettings> {
  checkFixed(options.fixed ?? [], analysis);
  const practice =
    options.practice === undefined ? null : await readDocument(io, options.practice, readPractice);
  const start = practice ?? { ...DEFAULT_CLOSURE_SETTINGS, limitMm: analysis.settings.limitMm };
  const settings: ClosureSettings = {
    ...DEFAULT_CLOSURE_SETTINGS,
    limitMm: options.limit ?? start.limitMm,
    maxStages: options.maxStages ?? start.maxStages,
    perStageMm: options.perStage ?? start.perStageMm,
    perStageRad: options.perStageDeg === undefined ? start.perStageRad : options.perStageDeg * DEG,
    expression: options.expression ?? start.expression,
    spanRule: options.spanRule ?? start.spanRule ?? 'shortest',
    moved: options.moved ?? null,
    reduction: options.reduction ?? null,
    fixed: options.fixed ?? [],
    targets: (options.overClose ?? []).map((named) => ({
      ...contactOf(named, analysis, '--over-close'),
      targetMm: -named.mm,
    })),
    floss: (options.floss ?? []).map((found) => ({
      ...found,
      ...contactOf(found, analysis, '--floss'),
    })),
    numbering: options.numbering,
  };
  return { settings, practice, departures: practice && departures(settings, practice) };
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

/** The contact of the result that two teeth name, in its own order. */
function contactOf({ toothA, toothB }: NamedContact, { contacts }: Analysis, option: string): NamedContact {
  const found = contacts.find(
    (c) =>
      c.status !== 'missing-tooth' &&
      ((c.toothA === toothA && c.toothB === toothB) || (c.toothA === toothB && c.toothB === toothA)),
  );
  if (found === undefined) {
    throw usageError(
      'CONTACT_NOT_PRESENT',
      `${option} names ${toothA}-${toothB}, which is no contact of the result; it holds ${contacts.map((c) => `${c.toothA}-${c.toothB}`).join(', ')}.`,
    );
  }
  return { toothA: found.toothA, toothB: found.toothB };
}
