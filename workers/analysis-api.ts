import type { CaseContent } from '../src/casefile/types.ts';
import type { Departure } from '../src/closure/practice.ts';
import type { ClosurePlan, ClosureSettings, FlossFinding } from '../src/closure/types.ts';
import type { ContactChange } from '../src/contacts/compare-contacts.ts';
import type { Analysis, MeasureSettings, SectionProfile } from '../src/contacts/types.ts';
import type { Vec3 } from '../src/geometry/types.ts';
import type { PlannedOutcome } from '../src/report/read-plan-json.ts';
import type { RecordHeading } from '../src/report/record-heading.ts';
import type { ScanWarning } from '../src/scan/scan-warnings.ts';
import type { LengthUnit, ScanHealth, ScanSource } from '../src/scan/types.ts';
import type { ArchAlignment } from '../src/teeth/align-arch.ts';
import type { ClickHelp } from '../src/teeth/propose-clicks.ts';
import type {
  ClickSet,
  NumberingScheme,
  OcclusalFrame,
  ToothNumber,
  ToothWarning,
} from '../src/teeth/types.ts';
import type { LabApi } from './lab-api.ts';
import type { RecordFile } from './reply-types.ts';

export type { RecordFile } from './reply-types.ts';

/**
 * What the analysis worker can be asked, apart from how it answers. The worker keeps the scan, what was prepared
 * for segmenting, the labels and the last analysis under a `scanId`; a call sends only what changed.
 *
 * Every call rejects with an `ArchgapError` (see `error-transfer-api.ts`). A call with a `job` port reports
 * {@link JobProgress} on it at most every {@link PROGRESS_INTERVAL_MS} and stops with `CANCELLED` when it
 * receives `'cancel'`; the caller closes the port. Nothing is changed by a call that rejects.
 */
export interface AnalysisApi extends LabApi {
  /**
   * Reads, checks and prepares a scan. It is kept until it is closed, and so is any scan opened before.
   * @param bytes - the file; its buffer is transferred to the worker and not given back. A file of the user is read
   *   here, and what was read goes back with the reply
   * @returns facts and drawing arrays; the arrays are copies whose buffers are transferred to the caller
   * @throws ArchgapError as `readScan`, and `FILE_UNREADABLE`
   */
  openScan(bytes: Uint8Array | Blob, options: OpenOptions, job: MessagePort): Promise<OpenedScan>;
  /** Reads the text of a click file and sets its points onto the surface of the scan. */
  readClicks(scanId: string, text: string): Promise<ClickSet>;
  /**
   * First answer to added clicks in a few hundredths of a second, for the eye only: nothing is remembered of it and
   * the settled labels do not depend on it. Null when clicks were moved or taken away since the last `segment` call.
   */
  draft(scanId: string, clicks: ClickSet): Promise<SegmentReply | null>;
  /** Tells the teeth apart. `labels` is a copy whose buffer is transferred to the caller. */
  segment(scanId: string, clicks: ClickSet, job: MessagePort): Promise<SegmentReply>;
  /** Where the teeth that were not clicked seem to be; nothing is remembered of it. */
  proposeClicks(scanId: string, clicks: ClickSet): Promise<ClickHelp>;
  /**
   * Measures all contacts. What is measured follows from the clicks alone, not from the order in which they were
   * made: after clicks that were solved one by one the whole arch is told apart once more, and `settled` holds the
   * labels that were measured (null when they are those of the last `segment` call).
   */
  measure(
    scanId: string,
    clicks: ClickSet,
    settings: MeasureSettings,
    job: MessagePort,
  ): Promise<MeasureReply>;
  /** The cut through one contact of the last `measure` call; `NO_SECTION` where there is no place to cut. */
  section(scanId: string, toothA: ToothNumber, toothB: ToothNumber): Promise<SectionProfile>;
  /** Needs no scan: everything the planner reads is in the analysis. */
  plan(analysis: Analysis, settings: ClosureSettings): Promise<ClosurePlan>;
  /**
   * The plan with all that stands beside it: how it changes with its inputs, the proposed span measured on the moved
   * crowns of the last `measure` call, and the room against the opposing arch where one was opened.
   * @param opposingArch - what was measured on it; then the widths of both arches are among the reasons
   */
  completePlan(
    scanId: string,
    analysis: Analysis,
    settings: ClosureSettings,
    opposingArch: Analysis | null,
    job: MessagePort,
  ): Promise<ClosurePlan>;
  /**
   * Reads the scan of the opposing arch and keeps it beside `scanId`, in place of one that was kept before.
   * @param bytes - as `openScan`
   */
  openOpposing(
    scanId: string,
    bytes: Uint8Array | Blob,
    options: OpenOptions,
    job: MessagePort,
  ): Promise<OpposingRead>;
  /** Lets the opposing scan go. */
  dropOpposing(scanId: string): Promise<void>;
  /**
   * Lays an earlier scan of the same arch, as last measured, over another one on the teeth, and carries its clicks.
   * @throws ArchgapError `SCANS_DO_NOT_MATCH`
   */
  layOver(earlierId: string, scanId: string, job: MessagePort): Promise<LayOverReply>;
  /** Writes one file of the record; the bytes are transferred to the caller. */
  writeFile(scanId: string, request: RecordRequest): Promise<RecordFile>;
  /** Writes a case file; needs no scan. The bytes are transferred to the caller. */
  packCase(request: PackRequest): Promise<RecordFile>;
  /**
   * Reads a case file; needs no scan. The scans' bytes are transferred to the caller.
   * @param passphrase - of an encrypted file; null = none, which rejects with `CASE_FILE_SEALED`
   */
  unpackCase(bytes: Uint8Array, passphrase: string | null): Promise<CaseContent>;
  /** Answers as soon as nothing else keeps the worker busy: a sign of life. */
  ping(): Promise<void>;
  /** Lets the scan and all that belongs to it go. */
  close(scanId: string): Promise<void>;
}

export interface PackRequest {
  readonly content: CaseContent;
  readonly version: string;
  /** ISO date and time. */
  readonly createdAt: string;
  /** Encrypts the file; null = not encrypted. */
  readonly passphrase: string | null;
}

export interface OpenOptions {
  readonly fileName: string;
  /** The user's word for the unit of the file's numbers; null = decide from the size. */
  readonly unit: LengthUnit | null;
}

/** What the page shows about an opposing scan. */
export interface OpposingFacts {
  readonly fileName: string;
  readonly unitSentence: string;
}

/** What crosses to the page of an opposing scan. */
interface OpposingRead extends OpposingFacts {
  /** As in `OpenedScan`. */
  readonly file: Uint8Array | null;
}

/** What the page shows about a scan. */
export interface ScanFacts {
  readonly source: ScanSource;
  readonly health: ScanHealth;
  readonly originMm: Vec3;
}

export interface OpenReply {
  /** Never used twice, not even by a worker that took the place of another. */
  readonly scanId: string;
  readonly facts: ScanFacts;
  /** (n x 3) mm, scan frame. */
  readonly positions: Float32Array;
  /** (n x 3) unit vertex normals. */
  readonly normals: Float32Array;
  /** (m x 3) vertex indices. */
  readonly triangles: Uint32Array;
  /** (n x 3) RGB 0-255, or null. */
  readonly colors: Uint8Array | null;
}

/** What crosses to the page of a scan that was opened. */
export interface OpenedScan extends OpenReply {
  /** All of a file of the user; null where the caller had it read. */
  readonly file: Uint8Array | null;
}

export interface SegmentReply {
  /** ISO number per triangle, 0 = gum. */
  readonly labels: Uint8Array;
  readonly frame: OcclusalFrame;
  readonly warnings: readonly ToothWarning[];
}

export interface MeasureReply {
  readonly analysis: Analysis;
  readonly settled: SegmentReply | null;
}

export interface LayOverReply {
  /** Earlier scan frame to new scan frame. */
  readonly alignment: ArchAlignment;
  /** In the new scan's frame. Which teeth must not be moved is said to the page only: nothing measured depends on it. */
  readonly clicks: Omit<ClickSet, 'fixed'>;
}

/** A comparison with an earlier scan, as it is written down. */
export interface ComparisonRecord {
  readonly earlier: Analysis;
  /** Names by which the earlier and the new scan can be told apart. */
  readonly names: readonly [string, string];
  readonly alignment: ArchAlignment | null;
  readonly changes: readonly ContactChange[];
  readonly warnings: readonly ScanWarning[];
  readonly plan: PlannedOutcome | null;
}

export type RecordFileKind =
  | 'contacts-csv'
  | 'teeth-csv'
  | 'result-json'
  | 'labelled-ply'
  | 'report-html'
  | 'plan-json'
  | 'plan-csv'
  | 'note-txt'
  | 'clicks-json'
  | 'compare-html'
  | 'compare-csv'
  | 'compare-json';

export interface RecordRequest {
  readonly kind: RecordFileKind;
  readonly clicks: ClickSet;
  /** As the page shows it, i.e. decided with the limit of the moment. */
  readonly analysis: Analysis;
  readonly plan: ClosurePlan | null;
  /** The note as the user wrote it; null or absent = as the plan writes it. */
  readonly note?: string | null;
  /** The note was edited by hand, and so the report prints it as it is. */
  readonly noteIsEdited?: boolean;
  /** By what the scan is told from the others of its case in the report; absent = by its file name. */
  readonly scanName?: string;
  /** Whose record it is: printed at the head of the report, in no other file. */
  readonly heading?: RecordHeading | null;
  /** What floss or a strip said; printed in the table of the report. */
  readonly floss?: readonly FlossFinding[];
  /** Where the case departs from the practice's preferences; stands in plan.json. */
  readonly departures?: readonly Departure[];
  /** What the `compare-` files hold. */
  readonly comparison?: ComparisonRecord | null;
  readonly numbering: NumberingScheme;
  readonly version: string;
  /** ISO date and time. */
  readonly createdAt: string;
}

/** Sent by the worker on the `job` port. */
export interface JobProgress {
  /** 0 to 1. */
  readonly fraction: number;
  readonly stage: string;
}

/** Sent by the page on the `job` port. */
export const CANCEL_MESSAGE = 'cancel';

export const PROGRESS_INTERVAL_MS = 80;
