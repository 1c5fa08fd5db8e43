import type { Vec3 } from '../geometry/types.ts';

export type Jaw = 'upper' | 'lower';
/** ISO 3950 two-digit number of a permanent tooth, 11-18, 21-28, 31-38, 41-48. */
export type ToothNumber = number;
export type NumberingScheme = 'iso' | 'universal' | 'palmer';

/** Which part of the scan is which tooth: ISO 3950 number per triangle, 0 = gum or anything that is no tooth. */
export type ToothMap = Uint8Array;

/** One click of the user; `gum` clicks say "this is no tooth". Scan frame, mm. */
export interface Click {
  readonly tooth: ToothNumber | 'gum';
  readonly point: Vec3;
}

/** All the user said about one arch. Scan frame, mm. */
export interface ClickSet {
  readonly jaw: Jaw;
  readonly clicks: readonly Click[];
  /** Teeth that are absent: their site is an edentulous space, not a residual space. */
  readonly missing: readonly ToothNumber[];
  /** Teeth that must not be moved (implant, bridge unit, ankylosed). */
  readonly fixed: readonly ToothNumber[];
}

/**
 * Orthonormal frame: x to the patient's left, y to the front, z to the crowns' tops. Scan frame, mm. With these
 * meanings it is right-handed in an upper jaw and left-handed in a lower one (left x front points down), so no axis
 * may be rebuilt as a cross product of the others; rotate in (x, y) coordinates and recompose.
 */
export interface OcclusalFrame {
  readonly origin: Vec3;
  readonly x: Vec3;
  readonly y: Vec3;
  readonly z: Vec3;
}

/**
 * What the occlusal plane rests on: the tops of the labelled crowns, or - too few teeth, or teeth in a line - the
 * clicks and the surface near them.
 */
export type FrameBasis = 'crown-tops' | 'surface';

/** A tooth as segmented and measured. Points in the scan frame, mm. */
export interface ToothRecord {
  readonly tooth: ToothNumber;
  /** Area-weighted centre of the labelled crown. */
  readonly centre: Vec3;
  readonly mesiodistalMm: number | null;
  readonly buccolingualMm: number | null;
  readonly crownHeightMm: number | null;
  readonly areaMm2: number;
  readonly fixed: boolean;
  /** Expanded uncertainties (k = 2) of the sizes, mm; absent where the walls were not seen well enough. */
  readonly sizesU95Mm?: {
    readonly mesiodistal: number | null;
    readonly buccolingual: number | null;
    readonly crownHeight: number | null;
  };
  /** Places on the crown that the arch's indices are read from; absent like `sizesU95Mm`. */
  readonly marks?: ToothMarks;
  /**
   * The crown seen from the tops: closed polygon, flat [x0, y0, x1, y1, ...] in the occlusal frame, mm, see
   * `crownOutlines`; for drawing only. Absent where it was not looked for or the crown does not surround its centre.
   */
  readonly outlineMm?: readonly number[];
}

/** Scan frame, mm. */
export interface ToothMarks {
  /** The crown's own outermost place towards the arch's right end and towards its left end. */
  readonly right: Vec3;
  readonly left: Vec3;
  /** Which of the two sides were seen: false where a web hides the outermost place. */
  readonly rightSeen: boolean;
  readonly leftSeen: boolean;
  /** Tip of a canine, or of the mesiobuccal cusp of a molar; null for other teeth and where it is not seen. */
  readonly cusp: Vec3 | null;
}

/** A sentence that names teeth, by their ISO 3950 numbers; `sentenceIn` shows it in another numbering. */
export interface ToothSentence {
  readonly sentence: string;
  /** The teeth it names, in any order. */
  readonly teeth: readonly ToothNumber[];
}

/** Something the segmentation noticed, in a sentence for the user. */
export interface ToothWarning extends ToothSentence {
  readonly code: string;
  readonly tooth: ToothNumber | null;
  /** What would answer it if the user agrees: these teeth under other numbers. */
  readonly renumber?: readonly Renumbering[];
}

/** A tooth and the number it should rather have. */
export interface Renumbering {
  readonly from: ToothNumber;
  readonly to: ToothNumber;
}

/** What a segmentation keeps so that the next click is answered quickly. Plain data; of use to `segmentTeeth` only. */
export interface SegmentationMemory {
  readonly clicks: readonly Click[];
  /** Teeth that were said to be absent: where crowns are expected depends on them, too. */
  readonly missing: readonly ToothNumber[];
  readonly z: Vec3;
  readonly places: readonly { readonly tooth: ToothNumber; readonly point: Vec3 }[];
  readonly frames: readonly CrownFrame[];
  /** ISO number per node of the coarse graph, 0 = gum. */
  readonly nodeLabels: Uint8Array;
}

/** Where a crown is expected: origin near the middle of its top, m along the arch, b across it, z up. */
export interface CrownFrame {
  readonly tooth: ToothNumber;
  readonly origin: Vec3;
  readonly m: Vec3;
  readonly b: Vec3;
  readonly z: Vec3;
  /** Half-width towards the previous tooth of the arch (-m) and towards the next (+m), mm. */
  readonly limitBackMm: number;
  readonly limitOnMm: number;
  /** True where no tooth stands on that side: the crown can only end at the gum there. */
  readonly freeBack: boolean;
  readonly freeOn: boolean;
  /** Half the expected buccolingual width, mm. */
  readonly halfBuccolingualMm: number;
  readonly heightMm: number;
}

/** The answer to a click set. */
export interface Segmentation {
  readonly labels: ToothMap;
  readonly frame: OcclusalFrame;
  /** What the plane of `frame` rests on; absent when someone else made the frame. */
  readonly frameBasis?: FrameBasis;
  readonly warnings: readonly ToothWarning[];
  /** Present when `segmentTeeth` made it; without it the next click is solved from scratch. */
  readonly memory?: SegmentationMemory;
}
