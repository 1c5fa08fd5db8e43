import type { TriangleMesh, Vec3 } from '../geometry/types.ts';
import type { Jaw, OcclusalFrame, ToothMap, ToothNumber } from '../teeth/types.ts';
import type { Difference, ScannerProfile } from './types.ts';

/** Space that a restoration should leave to its neighbours, mm: `tightMm` <= `wideMm`, negative = it presses. */
export interface FitTarget {
  readonly wideMm: number;
  readonly tightMm: number;
}

/** From contact to a light press: what laboratories are commonly asked for (common practice, from memory). */
export const DEFAULT_FIT_TARGET: FitTarget = { wideMm: 0, tightMm: -0.03 };

/**
 * Against the target, not against contact: `too-tight`, `open`: tighter or looser than the target beyond the uncertainty; `as-wanted`: inside of it with the whole interval;
 * `undecided`: the interval reaches across an end of the target (guarded on both sides, ISO 14253-1); `no-neighbour`: the row ends there, or at a free site;
 * `not-measurable`: the scan does not show the neighbour's wall well enough, or the neighbour has no click.
 */
export type FitStatus = 'too-tight' | 'as-wanted' | 'open' | 'undecided' | 'no-neighbour' | 'not-measurable';

/**
 * Reasons beside those of contacts. `deeper-than-measured`: the restoration runs deeper into the neighbour than a space
 * can be measured; `beyond-missing`: the neighbour is not next by number, the teeth between are absent; `site`: the
 * next tooth stands so far off that it is no neighbour; `not-clicked`: a tooth between them by number has no click and is
 * not marked missing; `high-spot`: the space counts from a narrow place of the design that stands out of its wall;
 * `crossing`: without a space, the surfaces of design and scan run through each other somewhere.
 */
export const FIT_NOTE_CODES = [
  'deeper-than-measured',
  'beyond-missing',
  'site',
  'not-clicked',
  'high-spot',
  'crossing',
] as const;
export type FitNoteCode = (typeof FIT_NOTE_CODES)[number];

/** One side of a restoration. Scan frame, mm. */
export interface FitSide {
  readonly side: 'mesial' | 'distal';
  readonly neighbour: ToothNumber | null;
  readonly status: FitStatus;
  /** Signed space to the neighbour, negative = overlap. */
  readonly space: Difference | null;
  /** Where the overlap is too deep to be measured: it is deeper than this, mm. */
  readonly deeperThanMm: number | null;
  /** Where there is no space: it is no larger than this by what is seen of the walls, mm. */
  readonly atMostMm: number | null;
  /** To be added there to meet the middle of the target; negative = to be taken off. */
  readonly addMm: number | null;
  /** The neighbour stands nearer the patient's right. */
  readonly neighbourIsFirst: boolean;
  /** Unit arch direction from right to left at the contact; null without a neighbour. */
  readonly closingDirection: Vec3 | null;
  /** The closest places of both walls, with the restoration in its place; of walls that overlap the deepest. */
  readonly ends: { readonly own: Vec3; readonly neighbour: Vec3 } | null;
  /** Middle of the contact. */
  readonly point: Vec3 | null;
  /** Of that place below the occlusal plane, and its offset from the neighbour's middle, cheek or lip positive. */
  readonly heightMm: number | null;
  readonly buccalMm: number | null;
  /** Of the restoration within 0.02 and 0.05 mm of the neighbour, overlap included, mm^2; only beside a space. */
  readonly within20umMm2: number | null;
  readonly within50umMm2: number | null;
  readonly notes: readonly string[];
}

/** What a restoration is held against. */
export interface FitScan {
  readonly mesh: TriangleMesh;
  /** ISO 3950 number per triangle. */
  readonly labels: ToothMap;
  readonly jaw: Jaw;
  readonly frame: OcclusalFrame;
  readonly centres: ReadonlyMap<ToothNumber, Vec3>;
  /** Teeth that are said to be absent. */
  readonly missing: readonly ToothNumber[];
  readonly scanner?: ScannerProfile;
}
