import type { ArchInputs } from '../../casefile/types.ts';
import { DEFAULT_PRACTICE, type Practice } from '../../closure/practice.ts';
import { DEFAULT_CLOSURE_SETTINGS } from '../../closure/settings.ts';
import type { ClosureSettings, FlossFinding } from '../../closure/types.ts';
import { DEFAULT_FIT_TARGET, type FitTarget } from '../../contacts/fit-types.ts';
import type { ScannerProfile } from '../../contacts/types.ts';
import type { Vec3 } from '../../geometry/types.ts';
import type { LengthUnit } from '../../scan/types.ts';
import { archOrder, toothSortIndex } from '../../teeth/notation.ts';
import type { Click, ClickSet, Jaw, NumberingScheme, Renumbering, ToothNumber } from '../../teeth/types.ts';
import type { CaseFile } from './given-file.ts';
import { strokeRuns } from './stroke-runs.ts';

/** A new stroke replaces what was painted this near to it, and the eraser takes what lies this near, mm. */
const OVERPAINT_MM = 0.5;
const ERASER_MM = 1;

/** All the user said about one arch: the part of a case that is undone, redone and saved. Scan frame, mm. */
export interface CaseInputs extends ArchInputs {
  /** The user's word for the unit in whose frame the clicks stand; null or absent = decided from the size. */
  readonly unit?: LengthUnit | null;
  /** Undone and redone, but not saved: it stays with the page. */
  readonly restoration?: Restoration;
}

/** A designed restoration that is held against the teeth beside it. */
export interface Restoration {
  readonly file: CaseFile | null;
  readonly tooth: ToothNumber | null;
  readonly target: FitTarget;
}

const NO_RESTORATION: Restoration = { file: null, tooth: null, target: DEFAULT_FIT_TARGET };

export function restorationOf(inputs: CaseInputs): Restoration {
  return inputs.restoration ?? NO_RESTORATION;
}

export function withRestoration(inputs: CaseInputs, part: Partial<Restoration>): CaseInputs {
  return { ...inputs, restoration: { ...restorationOf(inputs), ...part } };
}

/** Inputs whose clicks stand in the frame of a unit. */
export function inUnit(inputs: ArchInputs, unit: LengthUnit | null): CaseInputs {
  return unit === null ? inputs : { ...inputs, unit };
}

/** The part that is saved, but for the unit, which is saved beside it. */
export function plainInputs({ unit: _, restoration: __, ...inputs }: CaseInputs): ArchInputs {
  return inputs;
}

/**
 * @param practice - where every new case starts
 * @param scanner - terms that it begins with, null = the stated assumptions; they stay with the case, whatever the
 *   device remembers later
 */
export function emptyInputs(
  practice: Practice = DEFAULT_PRACTICE,
  scanner: ScannerProfile | null = null,
): CaseInputs {
  const { rotationArmMm, moved, reduction } = DEFAULT_CLOSURE_SETTINGS;
  return {
    jaw: null,
    clicks: [],
    missing: [],
    fixed: [],
    floss: [],
    limitMm: practice.limitMm,
    closure: { ...practiceChoices(practice), rotationArmMm, moved, reduction },
    scanner,
  };
}

/** The arch measured with other terms; whoever chooses them says that the scan was made with that scanner. */
export function withScanner(
  { scannerTakenOver: _, ...inputs }: CaseInputs,
  scanner: ScannerProfile | null,
): CaseInputs {
  return { ...inputs, scanner };
}

function practiceChoices(practice: Practice) {
  const { maxStages, perStageMm, perStageRad, expression, spanRule } = practice;
  return { maxStages, perStageMm, perStageRad, expression, spanRule };
}

/** The case as the practice would have it, where the practice has a word. */
export function withPractice(inputs: CaseInputs, practice: Practice): CaseInputs {
  return {
    ...inputs,
    limitMm: practice.limitMm,
    closure: { ...inputs.closure, ...practiceChoices(practice) },
  };
}

/** What the core is given; null while the jaw is not known or nothing was clicked. */
export function clickSetOf(inputs: CaseInputs): ClickSet | null {
  const { jaw, clicks, missing, fixed } = inputs;
  if (jaw === null || !clicks.some((click) => click.tooth !== 'gum')) return null;
  return { jaw, clicks, missing, fixed };
}

/** @param numbering - the scheme in which the planner writes its sentences */
export function closureSettingsOf(inputs: CaseInputs, numbering: NumberingScheme): ClosureSettings {
  return { ...inputs.closure, limitMm: inputs.limitMm, fixed: inputs.fixed, floss: inputs.floss, numbering };
}

/** The teeth that were clicked, in arch order. */
export function clickedTeeth(inputs: CaseInputs): ToothNumber[] {
  const teeth = new Set(inputs.clicks.flatMap((click) => (click.tooth === 'gum' ? [] : [click.tooth])));
  return [...teeth].sort((a, b) => toothSortIndex(a) - toothSortIndex(b));
}

interface Pair {
  readonly toothA: ToothNumber;
  readonly toothB: ToothNumber;
}

/** What was said of contacts and of a restoration, under other tooth numbers. */
function pairsMoved(
  { floss, closure, restoration }: CaseInputs,
  to: (tooth: ToothNumber) => ToothNumber,
): Pick<CaseInputs, 'floss' | 'closure' | 'restoration'> {
  const moved = <P extends Pair>(pair: P): P => ({
    ...pair,
    toothA: to(pair.toothA),
    toothB: to(pair.toothB),
  });
  const targets = closure.targets?.map(moved);
  const tooth = restoration?.tooth ?? null;
  return {
    floss: floss.map(moved),
    closure: targets === undefined ? closure : { ...closure, targets },
    ...(restoration && tooth !== null ? { restoration: { ...restoration, tooth: to(tooth) } } : {}),
  };
}

/** Says the jaw. Clicks made under the other jaw keep side and place in the row. */
export function withJaw(inputs: CaseInputs, jaw: Jaw): CaseInputs {
  if (inputs.jaw === jaw) return inputs;
  if (inputs.jaw === null) return { ...inputs, jaw };
  const from = archOrder(inputs.jaw);
  const to = archOrder(jaw);
  const move = (tooth: ToothNumber) => to[from.indexOf(tooth)] ?? tooth;
  return {
    ...inputs,
    jaw,
    clicks: inputs.clicks.map((click) =>
      click.tooth === 'gum' ? click : { ...click, tooth: move(click.tooth) },
    ),
    missing: inputs.missing.map(move),
    fixed: inputs.fixed.map(move),
    ...pairsMoved(inputs, move),
  };
}

/** A tooth that is clicked cannot be missing. */
export function withClick(inputs: CaseInputs, click: Click): CaseInputs {
  return {
    ...inputs,
    clicks: [...inputs.clicks, click],
    missing: inputs.missing.filter((tooth) => tooth !== click.tooth),
  };
}

/** Several clicks at once, each as {@link withClick}. */
export function withClicks(inputs: CaseInputs, clicks: readonly Click[]): CaseInputs {
  return clicks.reduce(withClick, inputs);
}

export function withClickMoved(inputs: CaseInputs, index: number, point: Vec3): CaseInputs {
  return { ...inputs, clicks: inputs.clicks.map((click, i) => (i === index ? { ...click, point } : click)) };
}

function withoutClick(inputs: CaseInputs, index: number): CaseInputs {
  return withFixedOfClickedOnly({ ...inputs, clicks: inputs.clicks.filter((_, i) => i !== index) });
}

/** Removes every click of a tooth, or of the gum. */
export function withoutTooth(inputs: CaseInputs, tooth: ToothNumber | 'gum'): CaseInputs {
  return withFixedOfClickedOnly({
    ...inputs,
    clicks: inputs.clicks.filter((click) => click.tooth !== tooth),
  });
}

/** Removes the click at `index`; of a painted stroke the whole stroke. */
export function withoutClickOrStroke(inputs: CaseInputs, index: number): CaseInputs {
  const run = strokeRuns(inputs.clicks).find(({ from, to }) => index >= from && index <= to);
  if (!run) return withoutClick(inputs, index);
  return withFixedOfClickedOnly({
    ...inputs,
    clicks: inputs.clicks.filter((_, i) => i < run.from || i > run.to),
  });
}

/** Points of a stroke. What was painted before under them as something else goes: the newest word counts alone. */
export function withStroke(inputs: CaseInputs, points: readonly Click[]): CaseInputs {
  const reach2 = OVERPAINT_MM ** 2;
  const covered = (click: Click): boolean =>
    points.some((point) => point.tooth !== click.tooth && squaredDistance(point.point, click.point) < reach2);
  return withClicks({ ...inputs, clicks: keepingFirst(inputs.clicks, covered) }, points);
}

/** Rubs out corrections and gum clicks near the points; the first click of a tooth stays. */
export function withErased(inputs: CaseInputs, points: readonly Vec3[]): CaseInputs {
  const reach2 = ERASER_MM ** 2;
  const near = (click: Click): boolean =>
    points.some((point) => squaredDistance(point, click.point) < reach2);
  const clicks = keepingFirst(inputs.clicks, near);
  return clicks.length === inputs.clicks.length ? inputs : { ...inputs, clicks };
}

/** The clicks without those that `goes` names, but with every tooth's first one. */
function keepingFirst(clicks: readonly Click[], goes: (click: Click) => boolean): readonly Click[] {
  const seen = new Set<ToothNumber>();
  return clicks.filter((click) => {
    const first = click.tooth !== 'gum' && !seen.has(click.tooth);
    if (click.tooth !== 'gum') seen.add(click.tooth);
    return first || !goes(click);
  });
}

function squaredDistance(a: Vec3, b: Vec3): number {
  return (a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2 + (a[2] - b[2]) ** 2;
}

/** Gives a tooth another number; a tooth that had that number takes the freed one. */
export function withToothRenumbered(inputs: CaseInputs, from: ToothNumber, to: ToothNumber): CaseInputs {
  return renumbered(inputs, (tooth) => (tooth === from ? to : tooth === to ? from : tooth), [to]);
}

/**
 * Says which tooth one click is: the whole tooth takes the number where the click is its first, else the click alone.
 *
 * @param click - one of the inputs' own; unchanged when it is not
 */
export function withClickRenumbered(inputs: CaseInputs, click: Click, to: ToothNumber): CaseInputs {
  const { tooth } = click;
  if (tooth === 'gum' || !inputs.clicks.includes(click)) return inputs;
  if (inputs.clicks.find((other) => other.tooth === tooth) === click)
    return withToothRenumbered(inputs, tooth, to);
  const others = { ...inputs, clicks: inputs.clicks.filter((other) => other !== click) };
  return withClick(others, { ...click, tooth: to });
}

/** Whether the numbers can change so: every tooth is clicked, and none takes the number of one that keeps it. */
export function canRenumber(inputs: CaseInputs, changes: readonly Renumbering[]): boolean {
  const clicked = clickedTeeth(inputs);
  const from = changes.map((change) => change.from);
  return (
    from.every((tooth) => clicked.includes(tooth)) &&
    changes.every(({ to }) => from.includes(to) || !clicked.includes(to))
  );
}

/** Gives teeth other numbers, all at once; unchanged where that {@link canRenumber cannot} be. */
export function withTeethRenumbered(inputs: CaseInputs, changes: readonly Renumbering[]): CaseInputs {
  if (!canRenumber(inputs, changes)) return inputs;
  const found = new Map(changes.map(({ from, to }) => [from, to]));
  return renumbered(inputs, (tooth) => found.get(tooth) ?? tooth, [...found.values()]);
}

/** @param present - numbers that are given to a tooth and so not missing */
function renumbered(
  inputs: CaseInputs,
  to: (tooth: ToothNumber) => ToothNumber,
  present: readonly ToothNumber[],
): CaseInputs {
  return {
    ...inputs,
    clicks: inputs.clicks.map((click) =>
      click.tooth === 'gum' ? click : { ...click, tooth: to(click.tooth) },
    ),
    missing: inputs.missing.filter((tooth) => !present.includes(tooth)),
    fixed: inputs.fixed.map(to),
    ...pairsMoved(inputs, to),
  };
}

/** Marks a tooth as absent or takes the mark back. Its clicks, if any, go. */
export function withMissing(inputs: CaseInputs, tooth: ToothNumber, isMissing: boolean): CaseInputs {
  const missing = inputs.missing.filter((other) => other !== tooth);
  if (!isMissing) return { ...inputs, missing };
  const order = [...missing, tooth].sort((a, b) => toothSortIndex(a) - toothSortIndex(b));
  return { ...withoutTooth(inputs, tooth), missing: order };
}

export function withFixed(inputs: CaseInputs, tooth: ToothNumber, isFixed: boolean): CaseInputs {
  const fixed = inputs.fixed.filter((other) => other !== tooth);
  return { ...inputs, fixed: isFixed ? [...fixed, tooth] : fixed };
}

/** Back to a scan without clicks. The scan, the jaw and the settings stay. */
export function withoutClicks(inputs: CaseInputs): CaseInputs {
  return { ...inputs, clicks: [], missing: [], fixed: [], floss: [] };
}

/** Takes over a click file: everything it says about the teeth replaces what was clicked. */
export function withClickSet(inputs: CaseInputs, set: ClickSet): CaseInputs {
  return { ...inputs, jaw: set.jaw, clicks: set.clicks, missing: set.missing, fixed: set.fixed, floss: [] };
}

export function flossAt(inputs: CaseInputs, pair: Pair): FlossFinding | null {
  return inputs.floss.find(({ toothA, toothB }) => toothA === pair.toothA && toothB === pair.toothB) ?? null;
}

/** How far a contact is to be closed beyond touching, mm; 0 = just closed. */
export function overClosureAt(inputs: CaseInputs, pair: Pair): number {
  const target = inputs.closure.targets?.find(
    ({ toothA, toothB }) => toothA === pair.toothA && toothB === pair.toothB,
  );
  return target === undefined ? 0 : -target.targetMm;
}

/** Sets how far a contact is closed beyond touching; 0 takes it back. */
export function withOverClosure(inputs: CaseInputs, { toothA, toothB }: Pair, overMm: number): CaseInputs {
  const others = (inputs.closure.targets ?? []).filter(
    (other) => other.toothA !== toothA || other.toothB !== toothB,
  );
  const targets = overMm > 0 ? [...others, { toothA, toothB, targetMm: -overMm }] : others;
  return { ...inputs, closure: { ...inputs.closure, targets } };
}

/** Enters what floss said at a contact, or takes it back (`finding` null). */
export function withFloss(
  inputs: CaseInputs,
  { toothA, toothB }: Pair,
  finding: FlossFinding['finding'] | null,
  spaceMm: number | null,
  foundOn: string | null,
): CaseInputs {
  const others = inputs.floss.filter((other) => other.toothA !== toothA || other.toothB !== toothB);
  return { ...inputs, floss: finding ? [...others, { toothA, toothB, finding, spaceMm, foundOn }] : others };
}

/**
 * The same clicks after the file was read in another unit.
 * @param place - a point of the old scan frame to the same place in the new one
 */
export function withClicksPlaced(inputs: CaseInputs, place: (point: Vec3) => Vec3): CaseInputs {
  return { ...inputs, clicks: inputs.clicks.map((click) => ({ ...click, point: place(click.point) })) };
}

/** Teeth between two clicked ones that are neither clicked nor marked as missing: the page asks about them. */
export function unexplainedGaps(inputs: CaseInputs): ToothNumber[] {
  if (inputs.jaw === null) return [];
  const order = archOrder(inputs.jaw);
  const clicked = clickedTeeth(inputs).map((tooth) => order.indexOf(tooth));
  const first = clicked.at(0);
  const last = clicked.at(-1);
  if (first === undefined || last === undefined) return [];
  return order
    .slice(first, last + 1)
    .filter((tooth, i) => !clicked.includes(first + i) && !inputs.missing.includes(tooth));
}

function withFixedOfClickedOnly(inputs: CaseInputs): CaseInputs {
  const clicked = clickedTeeth(inputs);
  return { ...inputs, fixed: inputs.fixed.filter((tooth) => clicked.includes(tooth)) };
}
