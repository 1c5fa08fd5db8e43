import type { ContactView } from '../src/contacts/crown-contact-view.ts';
import type { FitSide } from '../src/contacts/fit-types.ts';
import type { FitView } from '../src/contacts/fit-view.ts';
import type { Analysis, MeasureSettings } from '../src/contacts/types.ts';
import type { TriangleMesh } from '../src/geometry/types.ts';
import type { ScanWarning } from '../src/scan/scan-warnings.ts';
import type { LengthUnit, ScanSource } from '../src/scan/types.ts';
import type { RepeatedOptions } from '../src/study/repeated-measurements.ts';
import type { Jaw, NumberingScheme, OcclusalFrame, ToothNumber } from '../src/teeth/types.ts';
import type { RecordFile } from './reply-types.ts';

/**
 * Jobs beside the closing of spaces: a restoration against its neighbours, separate crowns against each other,
 * agreement of repeated measurements. Errors, progress and cancelling as in `AnalysisApi`.
 */
export interface LabApi {
  /**
   * Holds a restoration against its neighbours on the scan of the last `measure` call.
   * @param file - its bytes are transferred to the worker; read in the unit of the scan
   * @throws ArchgapError `NO_LABELS`, and as `fitOnScan`
   */
  fit(scanId: string, file: NamedBytes, tooth: ToothNumber, job: MessagePort): Promise<FitReply>;
  /**
   * The surface of a restoration where it lies on the scan of the last `measure` call, for drawing.
   * @param file - as for `fit`
   * @throws ArchgapError `NO_LABELS`, and as `readScan`
   */
  readRestoration(scanId: string, file: NamedBytes, job: MessagePort): Promise<RestorationReply>;
  /** Reads and measures separate crowns in one frame; what was measured before is let go. */
  measureCrowns(request: CrownsRequest, job: MessagePort): Promise<CrownsReply>;
  /** The pictures of one contact of the crowns measured last. */
  viewCrowns(crownsId: string, toothA: ToothNumber, toothB: ToothNumber): Promise<ContactView>;
  /** Lets go of the crowns measured last; of others, nothing happens. */
  closeCrowns(crownsId: string): Promise<void>;
  /** One file about the crowns measured last. */
  writeCrowns(crownsId: string, request: CrownsFileRequest): Promise<RecordFile>;
  /** Agreement of repeated measurements from tables. */
  assessAgreement(request: AgreementRequest, job: MessagePort): Promise<AgreementReply>;
}

export interface NamedBytes {
  readonly fileName: string;
  readonly bytes: Uint8Array;
}

export interface FitReply {
  readonly restoration: ScanSource;
  /** Judged against the default target; `judgeFit` takes another. */
  readonly sides: readonly FitSide[];
  /** Per side; null where nothing stands there. */
  readonly views: readonly (FitView | null)[];
  readonly warnings: readonly ScanWarning[];
}

/** A restoration as it is drawn: its corners in the frame of the scan, mm. */
export interface RestorationReply extends TriangleMesh {
  /** (n x 3) unit vertex normals, area-weighted. */
  readonly normals: Float32Array;
}

export interface CrownsRequest {
  readonly crowns: readonly (NamedBytes & { readonly tooth: ToothNumber })[];
  readonly jaw: Jaw;
  /** The user's word; null = decided from the size. */
  readonly unit: LengthUnit | null;
  readonly settings: MeasureSettings;
}

export interface CrownsReply {
  readonly crownsId: string;
  readonly analysis: Analysis;
  readonly frame: OcclusalFrame;
  /** All crowns in one mesh for drawing, as `OpenReply`; ISO number per triangle. */
  readonly positions: Float32Array;
  readonly normals: Float32Array;
  readonly triangles: Uint32Array;
  readonly labels: Uint8Array;
}

export type CrownsFileKind = 'contacts-csv' | 'result-json' | 'labelled-ply' | 'report-html';

export interface CrownsFileRequest {
  readonly kind: CrownsFileKind;
  /** As the page shows it, i.e. decided with the limit of the moment. */
  readonly analysis: Analysis;
  readonly numbering: NumberingScheme;
  readonly version: string;
  readonly createdAt: string;
}

export interface AgreementRequest {
  readonly tables: readonly NamedBytes[];
  readonly options: RepeatedOptions;
  readonly version: string;
}

export interface AgreementReply {
  readonly headline: string;
  readonly sentences: readonly string[];
  /** What makes the figures mean less than they say. */
  readonly cautions: readonly string[];
  /** One part per comparison: tables and plots as HTML in which every text of a table is escaped. */
  readonly parts: readonly { readonly heading: string; readonly html: string }[];
  readonly valueColumn: string;
  readonly targetColumns: readonly string[];
  readonly occasionColumns: readonly string[];
  /** `agreement.csv`, `agreement.json`, `agreement.html`. */
  readonly files: readonly RecordFile[];
}
