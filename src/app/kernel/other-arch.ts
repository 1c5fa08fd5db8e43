import type { Analysis, ScannerProfile } from '../../contacts/types.ts';
import type { Vec3 } from '../../geometry/types.ts';
import type { Jaw } from '../../teeth/types.ts';
import { type CaseInputs, inUnit, plainInputs, withJaw, withScanner } from './case-inputs.ts';
import type { ScanFile } from './given-file.ts';
import { type History, startHistory } from './history.ts';
import { historyOfSteps, type KeptSteps } from './kept-steps.ts';
import type { KeptScan, KeptScanArch } from './scan-bytes.ts';

/** The arch of the case that is not being worked on: it opposes the one that is, and can be changed places with. */
export interface OtherArch extends Omit<KeptScanArch, 'inputs' | 'earlier'> {
  /** Scans of it before this one, oldest first. */
  readonly earlier: readonly KeptScan[];
  /** What the user said about it, with its own undo and redo. */
  readonly history: History<CaseInputs>;
  /** What was measured on it, if it was and still holds. */
  readonly analysis: Analysis | null;
}

interface ReadInFrame {
  readonly facts: { readonly originMm: Vec3 };
}

const opposite = (jaw: Jaw): Jaw => (jaw === 'upper' ? 'lower' : 'upper');

/** A scan that nobody has worked on yet. @param inputs - what it starts with */
export function bareArch({ name, bytes }: ScanFile, inputs: CaseInputs): OtherArch {
  return {
    fileName: name,
    bytes,
    unit: null,
    originMm: null,
    history: startHistory(inputs),
    earlier: [],
    analysis: null,
  };
}

/** @param steps - its undo and redo, where they were kept */
export function archOfCase({ inputs, earlier = [], ...rest }: KeptScanArch, steps?: KeptSteps): OtherArch {
  const saved = inUnit(inputs, rest.unit);
  const history = steps ? historyOfSteps(saved, steps) : startHistory(saved);
  return { ...rest, earlier, history, analysis: null };
}

/** As it is saved. */
export function caseArchOf({ fileName, bytes, unit, originMm, history, earlier }: OtherArch): KeptScanArch {
  const scan = { fileName, bytes, unit, originMm, inputs: plainInputs(history.present) };
  return earlier.length > 0 ? { ...scan, earlier } : scan;
}

/** The other arch is of the other jaw, whatever is said about this one. The same object when it is already. */
export function opposedTo(other: OtherArch, jaw: Jaw | null): OtherArch {
  const { history } = other;
  if (jaw === null || history.present.jaw === opposite(jaw)) return other;
  const turned = opposite(jaw);
  return {
    ...other,
    earlier: other.earlier.map((scan) => ofJaw(scan, turned)),
    history: throughout(history, (inputs) => withJaw(inputs, turned)),
    analysis: null,
  };
}

/** All scans of an arch are of one jaw, whatever is said about the newest. The same object when it is already. */
export function ofJaw(scan: KeptScan, jaw: Jaw): KeptScan {
  return scan.inputs.jaw === jaw ? scan : { ...scan, inputs: withJaw(scan.inputs, jaw) };
}

/**
 * A case of old does not say which scanner it was measured with: from now on it says the one that it is measured with
 * here, for every scan of the arch, so that it stays the same. Nobody said that a scan after another came from it, too.
 */
export function withScannerSaid(arch: KeptScanArch, scanner: ScannerProfile | null): KeptScanArch {
  const said = <Scan extends KeptScan>(scan: Scan, before: number): Scan => {
    if (scan.inputs.scanner !== undefined) return scan;
    const takenOver = scanner !== null && before > 0 ? { scannerTakenOver: true } : {};
    return { ...scan, inputs: { ...scan.inputs, scanner, ...takenOver } };
  };
  const { earlier } = arch;
  return said(earlier ? { ...arch, earlier: earlier.map(said) } : arch, earlier?.length ?? 0);
}

/** Both arches of a case are measured with the terms of one scanner. The same object when they are already. */
export function scannedBy(other: OtherArch, scanner: ScannerProfile | null): OtherArch {
  const { history } = other;
  if (JSON.stringify(history.present.scanner) === JSON.stringify(scanner)) return other;
  return { ...other, history: throughout(history, (inputs) => withScanner(inputs, scanner)) };
}

/**
 * What was said about the other arch holds here at every step: it is no step of this arch's own, is taken back where
 * it was said, and no undo here brings back what was before it.
 */
function throughout(
  { past, present, future, tag }: History<CaseInputs>,
  change: (inputs: CaseInputs) => CaseInputs,
): History<CaseInputs> {
  return { past: past.map(change), present: change(present), future: future.map(change), tag };
}

/** Which inputs of an arch stand now where those of before stood, step by step. */
export function stepsInstead(before: OtherArch, after: OtherArch): ReadonlyMap<CaseInputs, CaseInputs> {
  const inOrder = ({ history: { past, present, future } }: OtherArch) => [...past, present, ...future];
  const now = inOrder(after);
  return new Map(inOrder(before).map((inputs, k) => [inputs, now[k]!]));
}

/** An arch as it is left when the other one is worked on, or as it is saved. */
export function leftArch(
  { fileName, bytes, unit, facts }: Pick<OtherArch, 'fileName' | 'bytes' | 'unit'> & ReadInFrame,
  history: History<CaseInputs>,
  analysis: Analysis | null,
  earlier: readonly KeptScan[],
): OtherArch {
  return { fileName, bytes, unit, originMm: facts.originMm, history, analysis, earlier };
}
