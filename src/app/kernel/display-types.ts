import type { ToothMotion } from '../../closure/types.ts';
import type { Analysis, Contact, ContactStatus, SectionProfile } from '../../contacts/types.ts';
import type { RigidMotion } from '../../geometry/rigid.ts';
import type { TriangleMesh, Vec3 } from '../../geometry/types.ts';
import type { ClickProposal } from '../../teeth/propose-clicks.ts';
import type { Click, NumberingScheme, OcclusalFrame, ToothNumber, ToothRecord } from '../../teeth/types.ts';

/** What the page hands to the view, the contact plot and the section picture. Points in the scan frame, mm. */

/** The scan as it is drawn. The page owns these arrays; nobody writes to them. */
export interface DisplayScan {
  /** Changes with every scan that is opened: a new id means a new mesh, an equal one the same mesh. */
  readonly scanId: string;
  /** (n x 3) mm. */
  readonly positions: Float32Array;
  /** (n x 3) unit vertex normals, area-weighted. */
  readonly normals: Float32Array;
  /** (m x 3) vertex indices. */
  readonly triangles: Uint32Array;
  /** (n x 3) RGB 0-255 per vertex, or null. */
  readonly colors: Uint8Array | null;
}

/** An earlier scan drawn over the one that is shown. */
export interface EarlierOverlay {
  readonly display: DisplayScan;
  /** Its own frame to that of the scan shown. */
  readonly motion: RigidMotion;
  /** 0 = not seen, 1 = alone. */
  readonly share: number;
}

/** A restoration drawn where it lies on the scan that is shown: another object is another restoration. */
export interface RestorationOverlay extends TriangleMesh {
  /** (n x 3) unit vertex normals, area-weighted. */
  readonly normals: Float32Array;
}

/** One contact of a restoration with a neighbour, where it was found. */
export interface FitMark {
  /** The tooth that the restoration replaces. */
  readonly tooth: ToothNumber;
  readonly at: Vec3;
  /** Against the target, as the mark of the contact status that says the same. */
  readonly status: ContactStatus;
  readonly words: string;
}

/** Names one contact of an arch: both ISO numbers in arch order, e.g. `12-11`. */
export type ContactKey = `${number}-${number}`;

export function contactKey(contact: {
  readonly toothA: ToothNumber;
  readonly toothB: ToothNumber;
}): ContactKey {
  return `${contact.toothA}-${contact.toothB}`;
}

/** What a click on the scan does. */
export type ViewMode = 'look' | 'click-tooth' | 'click-gum' | 'paint';

/** The next points of a stroke over the surface. */
export interface StrokePiece {
  /** Grows with every stroke. */
  readonly stroke: number;
  readonly points: readonly Vec3[];
  /** What the stroke began on: ISO number, 0 = gum, null before the teeth are known. */
  readonly beganOn: number | null;
}

export interface ScanViewPaneProps {
  readonly scan: DisplayScan | null;
  /** ISO number per triangle, 0 = gum; null before the first segmentation. */
  readonly labels: Uint8Array | null;
  /** In the order they were made; `onMoveClick` and `onRemoveClick` name a click by its place in this list. */
  readonly clicks: readonly Click[];
  /** In arch order; empty before measuring. */
  readonly teeth: readonly ToothRecord[];
  readonly contacts: readonly Contact[];
  readonly selected: ContactKey | null;
  /** The whole closing motion of each tooth; null = the teeth stand where they were scanned. */
  readonly motions: readonly ToothMotion[] | null;
  /** Share of `motions` that is shown: stage fraction times exaggeration; 0 = as scanned, 5 = five times too large. */
  readonly motionScale: number;
  readonly frame: OcclusalFrame | null;
  readonly mode: ViewMode;
  readonly numbering: NumberingScheme;
  /** The surface was clicked in one of the two click modes; `on`: as {@link StrokePiece.beganOn}. */
  readonly onPick: (point: Vec3, on: number | null) => void;
  readonly onSelectContact: (key: ContactKey | null) => void;
  readonly onMoveClick: (index: number, point: Vec3) => void;
  readonly onRemoveClick: (index: number) => void;
  /** Places where teeth are thought to be; shown as what they are, not as clicks. */
  readonly proposals: readonly ClickProposal[];
  readonly onAcceptProposal: (tooth: ToothNumber) => void;
  /** A proposal was dragged to where the tooth really is. */
  readonly onPlaceProposal: (tooth: ToothNumber, point: Vec3) => void;
  /** The surface was painted in the paint mode. */
  readonly onPaint: (piece: StrokePiece) => void;
  /** An earlier scan faded over this one; null or left out = none. */
  readonly earlier?: EarlierOverlay | null;
  /** A restoration in its place on this scan; null or left out = none. */
  readonly restoration?: RestorationOverlay | null;
  /** Its contacts, while they are known; left out = none. */
  readonly fitMarks?: readonly FitMark[];
}

export interface ContactPlotProps {
  readonly analysis: Analysis;
  readonly selected: ContactKey | null;
  readonly onSelect: (key: ContactKey | null) => void;
  readonly numbering: NumberingScheme;
}

export interface SectionPictureProps {
  readonly profile: SectionProfile;
  readonly contact: Contact;
  readonly numbering: NumberingScheme;
}
