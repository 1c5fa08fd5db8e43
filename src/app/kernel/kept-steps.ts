import type { Click } from '../../teeth/types.ts';
import type { CaseInputs } from './case-inputs.ts';
import { type History, startHistory } from './history.ts';

/** Fields that need not be there. */
export const OPTIONAL_FIELDS = [
  'unit',
  'note',
  'heading',
  'scannedOn',
  'scanner',
  'scannerTakenOver',
] as const;
type OptionalField = (typeof OPTIONAL_FIELDS)[number];

/** One step of undo or redo as what it changes of the inputs it starts from. Plain data. */
interface KeptStep {
  /** The fields that become others, but the clicks. */
  readonly fields: Partial<Omit<CaseInputs, 'clicks' | 'restoration'>>;
  /** Optional fields that go. */
  readonly absent: readonly OptionalField[];
  /** The clicks from `at` on of which `drop` give way to `put`; null = the clicks stay. */
  readonly clicks: { readonly at: number; readonly drop: number; readonly put: readonly Click[] } | null;
}

/** Undo and redo as they are kept on the device: the nearest step first. */
export interface KeptSteps {
  readonly undo: readonly KeptStep[];
  readonly redo: readonly KeptStep[];
}

/** Steps kept each way, and clicks in them all: a record is written at every change, so it stays small. */
const MOST_STEPS = 100;
const MOST_CLICKS = 3000;

/** Undo and redo of a history, the oldest steps left out where they are too many. */
export function keptSteps({ past, present, future }: History<CaseInputs>): KeptSteps {
  return { undo: stepsAlong(present, past.toReversed()), redo: stepsAlong(present, future) };
}

/** The history whose steps were kept, around its present. */
export function historyOfSteps(present: CaseInputs, { undo, redo }: KeptSteps): History<CaseInputs> {
  return {
    ...startHistory(present),
    past: valuesAlong(present, undo).reverse(),
    future: valuesAlong(present, redo),
  };
}

function stepsAlong(present: CaseInputs, values: readonly CaseInputs[]): KeptStep[] {
  const steps: KeptStep[] = [];
  let from = present;
  let clicks = 0;
  for (const to of values.slice(0, MOST_STEPS)) {
    const step = stepBetween(from, to);
    clicks += step.clicks?.put.length ?? 0;
    if (clicks > MOST_CLICKS) break;
    steps.push(step);
    from = to;
  }
  return steps;
}

function valuesAlong(present: CaseInputs, steps: readonly KeptStep[]): CaseInputs[] {
  const values: CaseInputs[] = [];
  let from = present;
  for (const step of steps) {
    from = applied(from, step);
    values.push(from);
  }
  return values;
}

/** The restoration is not kept on the device: a step that changed it alone changes nothing after a reload. */
function stepBetween(
  { clicks: former, restoration: _, ...from }: CaseInputs,
  { clicks, restoration: __, ...to }: CaseInputs,
): KeptStep {
  const changed = Object.entries(to).filter(([name, value]) => from[name as keyof typeof from] !== value);
  return {
    fields: Object.fromEntries(changed),
    absent: OPTIONAL_FIELDS.filter((name) => name in from && !(name in to)),
    clicks: splice(former, clicks),
  };
}

function splice(from: readonly Click[], to: readonly Click[]): KeptStep['clicks'] {
  if (from === to) return null;
  const shorter = Math.min(from.length, to.length);
  let at = 0;
  while (at < shorter && from[at] === to[at]) at += 1;
  let same = 0;
  while (same < shorter - at && from[from.length - 1 - same] === to[to.length - 1 - same]) same += 1;
  return { at, drop: from.length - at - same, put: to.slice(at, to.length - same) };
}

function applied(from: CaseInputs, { fields, absent, clicks }: KeptStep): CaseInputs {
  const there = Object.entries(from).filter(([name]) => !absent.some((gone) => gone === name));
  return {
    ...(Object.fromEntries(there) as unknown as CaseInputs),
    ...fields,
    clicks: clicks ? from.clicks.toSpliced(clicks.at, clicks.drop, ...clicks.put) : from.clicks,
  };
}
