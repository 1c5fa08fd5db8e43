import type { Vec3 } from '../geometry/types.ts';
import type { ScanWarning } from '../scan/scan-warnings.ts';
import type { LengthUnit, ScanHealth, ScanSource } from '../scan/types.ts';
import type { Jaw, OcclusalFrame, ToothNumber, ToothRecord } from '../teeth/types.ts';

export type ContactStatus =
  | 'open'
  | 'undecided'
  | 'closed'
  | 'bridged'
  | 'overlap'
  | 'missing-tooth'
  | 'not-measurable';

export type BridgeState = 'none' | 'partial' | 'full';

/**
 * The reasons a contact may carry:
 * `angle` the shortest line across is oblique; `partial` measured beside a small web; `fallback` another fit than the
 * usual; `near-gum`, `near-edge` the closest place lies at the gum or the border of the scan; `not-seen` it lies where a
 * wall is not seen, `no-bound` and nothing seen bounds the space; `coarse`, `rough`,
 * `uncertain`, `one-sided`, `not-found` why there is no number; `low-web` a low border that may be a web;
 * `labels-cross` the border of the labels is no web; `torn` the surface is torn apart between the teeth; `spike` the mesh comes nearer than the fitted walls;
 * `closes-in` the space narrows where the view of it ends;
 * `bound-scanner` the upper bound is what scanners are assumed never to bridge, not a rim that was seen;
 * `depth-unknown` crowns cross with no corner of either inside the other;
 * `not-clicked` a tooth between the two has no click and is not marked missing; its site is taken to be empty.
 */
export const NOTE_CODES = [
  'angle',
  'partial',
  'fallback',
  'near-gum',
  'near-edge',
  'not-seen',
  'coarse',
  'rough',
  'uncertain',
  'one-sided',
  'not-found',
  'low-web',
  'labels-cross',
  'torn',
  'spike',
  'closes-in',
  'bound-scanner',
  'no-bound',
  'depth-unknown',
  'not-clicked',
] as const;
export type NoteCode = (typeof NOTE_CODES)[number];

/** A difference or a space found by another way than its walls, with its expanded uncertainty (k = 2), mm. */
export interface Difference {
  readonly valueMm: number;
  readonly u95Mm: number;
}

/** One term of the uncertainty budget. */
export interface UncertaintyTerm {
  /** Stable name, e.g. `fit`, `model`, `waviness`, `scale`, `systematic`, `edge`, `noise`. */
  readonly name: string;
  /** `A`: computed from this scan; `B`: a stated default or a calibration. */
  readonly type: 'A' | 'B';
  /** Standard uncertainty, mm. */
  readonly standardMm: number;
  /** One line: where it comes from. */
  readonly source: string;
}

/** A measured space: never present unless both walls were seen. */
export interface GapEstimate {
  /** Best estimate, negative = overlap, mm. */
  readonly valueMm: number;
  /** Expanded uncertainty k = 2, mm. */
  readonly u95Mm: number;
  readonly basis: 'mesh-minimum' | 'patch' | 'crown-shells';
  readonly terms: readonly UncertaintyTerm[];
}

/**
 * Two walls as heights z(u, v) along w over a round window across the space; scan frame, mm. Coefficients of the
 * monomials 1, u, v, u^2, uv, v^2, ... of the given degree in u/R, v/R.
 */
export interface FittedWalls {
  readonly origin: Vec3;
  readonly u: Vec3;
  readonly v: Vec3;
  readonly w: Vec3;
  readonly radiusMm: number;
  readonly degree: 2 | 4;
  readonly a: readonly number[];
  readonly b: readonly number[];
}

/**
 * The state of one contact. Points are in the scan frame, mm. `status` and the numbers are separate: a number that
 * the scan cannot support is null, never a stand-in.
 */
export interface Contact {
  /** Neighbours in arch order: `toothA` is nearer the right end of the arch (patient's right). */
  readonly toothA: ToothNumber;
  readonly toothB: ToothNumber;
  readonly status: ContactStatus;
  readonly gap: GapEstimate | null;
  /** Largest space that could hide behind a web or under the gum, mm; with note `bound-scanner` nothing seen says so. */
  readonly upperBoundMm: number | null;
  /** Exact smallest distance of the two observed walls, mm; null when bridged. */
  readonly nearestMm: number | null;
  /** How far the teeth can close along the closing direction before they touch, mm. */
  readonly clearanceMm: number | null;
  readonly bridge: BridgeState;
  readonly bridgeHeightMm: number | null;
  readonly bridgeWidthMm: number | null;
  /** Closest points (measured), or the middle of the contact (bridged: both equal), or null. */
  readonly pointA: Vec3 | null;
  readonly pointB: Vec3 | null;
  /** Unit arch direction A to B at the contact, in the occlusal plane. */
  readonly closingDirection: Vec3;
  /** Height of the place below the occlusal plane (positive towards the gum), mm. */
  readonly heightMm: number | null;
  /** Buccolingual offset of the two contact points, mm. */
  readonly slipMm: number | null;
  readonly limitMm: number;
  /** Short stable reasons, see {@link NOTE_CODES}; a record of another version may carry others. */
  readonly notes: readonly string[];
  /**
   * Median edge of the walls, mm, where it is too long for a measurement (note `coarse`): then only a space of many
   * edges above the limit gets a number, which depends on the limit.
   */
  readonly coarseEdgeMm?: number;
  /** Angle between the shortest line across the space and the closing direction, rad; measured contacts only. */
  readonly angleRad?: number;
  /** The walls fitted behind the number, for the section picture; absent when there is no such number. */
  readonly fittedWalls?: FittedWalls;
  /** Separate crowns only: areas within 0.02 and 0.05 mm of the neighbour, mm^2. */
  readonly contactAreas?: { readonly within20umMm2: number; readonly within50umMm2: number };
  /** Separate crowns only: both ways, and the offset of the place from the middle of both crowns, cheek or lip positive. */
  readonly crownContact?: { readonly buccalMm: number | null; readonly a: CrownFace; readonly b: CrownFace };
}

/** What one separate crown has at a contact. */
export interface CrownFace {
  /** Depth of its deepest point inside the neighbour, mm; 0 without an overlap, null where surfaces cross unmeasured. */
  readonly overlapMm: number | null;
  /** Its area within 0.02 and 0.05 mm of the neighbour, overlap included, mm^2. */
  readonly within20umMm2: number;
  readonly within50umMm2: number;
}

/** What is known of a scanner beyond one scan: the terms of the uncertainty that residuals cannot show. */
export interface ScannerProfile {
  readonly name: string;
  /** Standard deviation of the slow wave and of stitching steps of one wall, mm. */
  readonly wavinessMm: number;
  /** Half-width of the relative scale error. */
  readonly scaleShare: number;
  /** Half-width of the systematic error of narrow spaces (walls that come out too fat), mm. */
  readonly systematicHalfWidthMm: number;
  /** That error is expected in spaces narrower than this, mm. */
  readonly systematicBelowMm: number;
  /** The smallest space this scanner never bridges, mm. */
  readonly noBridgeGapMm: number;
  /** Allowance for noise in the clearance at a web's rim, mm; left out: the default. */
  readonly noiseAllowanceMm?: number;
}

export interface MeasureSettings {
  /** The space the user still calls closed, mm. */
  readonly limitMm: number;
  /** A calibrated scanner; left out: the stated assumptions for one that is not. */
  readonly scanner?: ScannerProfile;
  /** The scanner is that of an earlier scan: nobody said that this scan comes from it. Left out: it was said. */
  readonly scannerTakenOver?: true;
}

/** Everything known about one arch after measuring: what the CSV, the JSON record, the planner and the page read. */
export interface Analysis {
  /** One scan, or one file per crown. */
  readonly sources: readonly ScanSource[];
  readonly health: ScanHealth | null;
  readonly kind: 'scan' | 'crowns';
  /** Add to any point to get the file's coordinates in mm. */
  readonly originMm: Vec3;
  readonly fileUnit: LengthUnit;
  readonly jaw: Jaw;
  readonly frame: OcclusalFrame;
  /** Polyline through the tooth centres, right to left, scan frame. */
  readonly archCurve: readonly Vec3[];
  /** In arch order, right to left. */
  readonly teeth: readonly ToothRecord[];
  readonly missing: readonly ToothNumber[];
  readonly contacts: readonly Contact[];
  readonly settings: MeasureSettings;
  readonly warnings: readonly ScanWarning[];
}

/**
 * The cut through both proximal walls: a plane through the contact, spanned by the closing direction (u, A to B)
 * and the occlusal axis (v, up towards the crowns' tops); origin midway between the two points. All in mm.
 */
export interface SectionProfile {
  readonly toothA: ToothNumber;
  readonly toothB: ToothNumber;
  readonly origin: Vec3;
  readonly u: Vec3;
  readonly v: Vec3;
  /** Cut lines, each a flat [u0, v0, u1, v1, ...] polyline. */
  readonly linesA: readonly (readonly number[])[];
  readonly linesB: readonly (readonly number[])[];
  readonly linesGum: readonly (readonly number[])[];
  /** The fitted walls where they cross the plane, flat [u0, v0, ...]; absent unless the contact was measured on them. */
  readonly fitA?: readonly number[];
  readonly fitB?: readonly number[];
  /** The two closest points projected into the plane; null unless the contact was measured. */
  readonly a: readonly [number, number] | null;
  readonly b: readonly [number, number] | null;
  /** Out-of-plane distance between the two closest points, mm: the picture says so when it is not small. */
  readonly outOfPlaneMm: number;
}
