import type { ClosureSettings, FlossFinding } from '../closure/types.ts';
import type { ScannerProfile } from '../contacts/types.ts';
import type { Vec3 } from '../geometry/types.ts';
import type { RecordHeading } from '../report/record-heading.ts';
import type { LengthUnit } from '../scan/types.ts';
import type { Click, Jaw, ToothNumber } from '../teeth/types.ts';

/** The settings of the planner that do not follow from anything else in the case. */
export type ClosureChoices = Pick<
  ClosureSettings,
  | 'maxStages'
  | 'perStageMm'
  | 'perStageRad'
  | 'expression'
  | 'rotationArmMm'
  | 'moved'
  | 'reduction'
  | 'spanRule'
  | 'targets'
>;

/** A note that was edited by hand. */
export interface EditedNote {
  readonly text: string;
  /** What the plan had written when it was edited: where it writes something else now, the note may be out of date. */
  readonly basis: string;
}

/** All the user said about one arch: the part of a case that is undone, redone and saved. Scan frame, mm. */
export interface ArchInputs {
  /** Null until the user has said it: nothing in a scan tells it for sure. */
  readonly jaw: Jaw | null;
  readonly clicks: readonly Click[];
  readonly missing: readonly ToothNumber[];
  readonly fixed: readonly ToothNumber[];
  /** What floss or a strip said, at most one finding per contact. */
  readonly floss: readonly FlossFinding[];
  readonly limitMm: number;
  readonly closure: ClosureChoices;
  /** The note for the order as the user wrote it; null or absent = as the plan writes it. */
  readonly note?: EditedNote | null;
  /** For the head of the printed page; kept in the case and written nowhere else. */
  readonly heading?: RecordHeading;
  /** Day on which the arch was scanned, `YYYY-MM-DD`; null or absent = not said. */
  readonly scannedOn?: string | null;
  /**
   * Terms of the scanner that the contacts are measured with, so that the same numbers come out elsewhere; null = the
   * stated assumptions, absent = not said (cases of an earlier version).
   */
  readonly scanner?: ScannerProfile | null;
  /** The terms came from the earlier scan and nobody said that this one was made with the same scanner; absent = said. */
  readonly scannerTakenOver?: true;
}

/**
 * One scan of an arch: the file as it was given, with what the user said about it.
 * @typeParam Bytes - what stands for the bytes of the file while they lie elsewhere
 */
export interface CaseScan<Bytes = Uint8Array> {
  /** Name of the scan file; only a label, never a path. */
  readonly fileName: string;
  /** The file, byte for byte. */
  readonly bytes: Bytes;
  /** The user's word for the unit of the file's numbers; null = decided from the size. */
  readonly unit: LengthUnit | null;
  /**
   * `Scan.originMm` of the frame in which the clicks stand; null while the arch was never looked at. A point of the
   * file is the click plus this, in mm.
   */
  readonly originMm: Vec3 | null;
  readonly inputs: ArchInputs;
}

/** One arch of a case: its newest scan, and those before it. */
export interface CaseArch<Bytes = Uint8Array> extends CaseScan<Bytes> {
  /** Earlier scans of the same arch, oldest first; absent = none. */
  readonly earlier?: readonly CaseScan<Bytes>[];
}

/** A case as it is saved and sent: one arch, or the two of one mouth in one frame. */
export interface CaseContent<Bytes = Uint8Array> {
  /** The built-in demo, so that whoever opens it is told. */
  readonly demo: boolean;
  /** The arch being worked on comes first; the other, if any, opposes it. */
  readonly arches: readonly [CaseArch<Bytes>] | readonly [CaseArch<Bytes>, CaseArch<Bytes>];
}
