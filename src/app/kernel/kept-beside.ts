import type { CaseInputs } from './case-inputs.ts';
import type { History } from './history.ts';
import { type KeptSteps, keptSteps } from './kept-steps.ts';
import { archOfCase, caseArchOf, type OtherArch } from './other-arch.ts';
import type { KeptScanArch, ScanBytes } from './scan-bytes.ts';

/**
 * A step that changes the scans of the case, not what is said about one. It has its place in the undo of the open arch
 * by the inputs of that moment: it is the last one whenever the inputs are these again.
 */
export type BesideStep = OtherStep | RoundStep;

/** A scan put beside the open one, or taken away. */
export interface OtherStep {
  readonly place: 'beside';
  readonly at: CaseInputs;
  /** What stands beside when the step is taken. */
  readonly to: OtherArch | null;
  /** Bytes of the scan that stands beside because of it. */
  readonly made: ScanBytes | null;
}

/** Another scan of the arch worked on: the next one put in, or the newest taken out. */
export interface RoundStep {
  readonly place: 'open';
  readonly at: CaseInputs;
  /** The arch as it is worked on when the step is taken. */
  readonly to: OtherArch;
}

export interface BesideSteps {
  readonly undo: readonly BesideStep[];
  readonly redo: readonly BesideStep[];
}

/**
 * A step as it is kept. An arch is meant by its place: those of the case first, the open one at 0, then those aside.
 * Plain data.
 */
interface KeptBesideStep {
  /** The inputs of the moment: of which arch, and how many steps away from its present (below 0: of undo). */
  readonly at: { readonly arch: number; readonly step: number };
  readonly to: number | null;
  readonly made: number | null;
  /** The step is one of the open arch, to another of its scans. */
  readonly round?: true;
}

/** Undo and redo of the other arch as they are kept on the device, with the arches that only they lead to. */
export interface KeptBeside<Arch = KeptArch> {
  readonly aside: readonly Arch[];
  readonly undo: readonly KeptBesideStep[];
  readonly redo: readonly KeptBesideStep[];
}

export interface KeptArch {
  readonly arch: KeptScanArch;
  readonly steps: KeptSteps | undefined;
}

/** Steps kept each way: each may hold on to a scan on the device. */
const MOST_BESIDE_STEPS = 10;

/**
 * The steps as plain data; null = there are none.
 * @param arches - those of the case, the open one first
 */
export function keptBeside(steps: BesideSteps, arches: readonly OtherArch[]): KeptBeside | null {
  const [undo, redo] = [steps.undo.slice(-MOST_BESIDE_STEPS), steps.redo.slice(-MOST_BESIDE_STEPS)];
  if (undo.length + redo.length === 0) return null;
  const led = [...undo, ...redo].map(({ to }) => to).filter((arch) => arch !== null);
  const all = [...new Set([...arches, ...led])];
  const kept = all.map(({ history }) => keptSteps(history));
  const placeOf = (inputs: CaseInputs) => {
    for (const [arch, { history }] of all.entries()) {
      const step = stepOf(inputs, history, kept[arch]!);
      if (step !== null) return { arch, step };
    }
    return null;
  };
  const plain = (list: readonly BesideStep[]): KeptBesideStep[] =>
    list.flatMap((step) => {
      const at = placeOf(step.at);
      // Made so long ago that its place among the other steps is no longer kept.
      if (at === null) return [];
      const to = step.to && all.indexOf(step.to);
      if (step.place === 'open') return [{ at, to, made: null, round: true }];
      const maker = step.made && all.findIndex(({ bytes }) => bytes === step.made);
      return [{ at, to, made: maker === -1 ? null : maker }];
    });
  const aside = all.map((arch, k) => ({ arch: caseArchOf(arch), steps: kept[k] })).slice(arches.length);
  return { aside, undo: plain(undo), redo: plain(redo) };
}

/**
 * The steps that were kept. What cannot be placed any more is left out.
 * @param open - of the arch being worked on
 */
export function stepsOfKept(
  { aside, undo, redo }: KeptBeside,
  open: History<CaseInputs>,
  other: OtherArch | null,
): BesideSteps {
  const led = [...(other ? [other] : []), ...aside.map(({ arch, steps }) => archOfCase(arch, steps))];
  const histories = [open, ...led.map(({ history }) => history)];
  const placed = (list: readonly KeptBesideStep[]): BesideStep[] =>
    list.flatMap(({ at: { arch: which, step }, to, made, round }): BesideStep[] => {
      const history = histories[which];
      const at = history && inputsAt(history, step);
      const arch = to === null ? null : led[to - 1];
      if (!at || arch === undefined) return [];
      if (round) return arch === null ? [] : [{ place: 'open', at, to: arch }];
      const maker = (made === null ? null : led[made - 1]?.bytes) ?? null;
      return [{ place: 'beside', at, to: arch, made: maker }];
    });
  return { undo: placed(undo), redo: placed(redo) };
}

/** Where the inputs stand in a history; null = not among what is kept of it. */
function stepOf(
  inputs: CaseInputs,
  { past, present, future }: History<CaseInputs>,
  { undo, redo }: KeptSteps,
): number | null {
  if (inputs === present) return 0;
  const back = past.toReversed().indexOf(inputs);
  if (back >= 0) return back < undo.length ? -1 - back : null;
  const ahead = future.indexOf(inputs);
  return ahead >= 0 && ahead < redo.length ? 1 + ahead : null;
}

function inputsAt({ past, present, future }: History<CaseInputs>, step: number): CaseInputs | undefined {
  if (step === 0) return present;
  return step < 0 ? past.at(step) : future[step - 1];
}
