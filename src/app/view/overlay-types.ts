import type { Contact } from '../../contacts/types.ts';
import type { Vec3 } from '../../geometry/types.ts';
import type { ClickProposal } from '../../teeth/propose-clicks.ts';
import type { Click, NumberingScheme, ToothNumber, ToothRecord } from '../../teeth/types.ts';
import type { ContactKey, FitMark } from '../kernel/display-types.ts';
import type { LabelWish } from './label-layout.ts';

/** Where a tooth's number would like to stand: over a point of the scan frame, or so many px higher. */
export interface NumberPlace {
  readonly tooth: ToothNumber;
  readonly at: Vec3;
  readonly raisedPx: number;
  /** Points of the crown: the number is written while enough of them are in sight. */
  readonly samples: readonly Vec3[];
}

/** What is written over the picture: pins, tooth numbers, contact marks, the scale bar. Plain elements, no canvas. */
export interface OverlayContent {
  readonly clicks: readonly Click[];
  /** Places that are proposed for clicks: hollow, and told apart from them. */
  readonly proposals: readonly ClickProposal[];
  readonly numbers: readonly NumberPlace[];
  /** Which teeth are fixed is shown at their numbers. */
  readonly teeth: readonly ToothRecord[];
  readonly contacts: readonly Contact[];
  readonly selected: ContactKey | null;
  /** Of a restoration that is shown: they stand in for those of the tooth that it replaces. */
  readonly fitMarks: readonly FitMark[];
  readonly numbering: NumberingScheme;
  /** Pins can be moved and taken away; otherwise they are only shown. */
  readonly editable: boolean;
  /** The stages are played: what was measured before them is not shown on moved crowns. */
  readonly simulated: boolean;
}

export interface OverlayActions {
  select(key: ContactKey | null): void;
  removeClick(index: number): void;
  /** The pin is being dragged over this place (CSS px); the view answers where it would come to lie. */
  dragPin(index: number, x: number, y: number): void;
  dropPin(index: number): void;
  cancelDrag(): void;
  acceptProposal(tooth: ToothNumber): void;
  /** A proposal is being dragged over this place (client px), and dropped; as the pins. */
  dragProposal(tooth: ToothNumber, x: number, y: number): void;
  dropProposal(tooth: ToothNumber): void;
  /** Shift of a pin by arrow keys, CSS px. */
  nudgePin(index: number, dx: number, dy: number): void;
}

/** The camera as the overlay needs it, at one moment. */
export interface Projection {
  readonly width: number;
  readonly height: number;
  readonly pxPerMm: number;
  /** CSS pixels from the top left corner. */
  project(point: Vec3): { readonly x: number; readonly y: number };
  /** False when the scan (crowns unmoved) hides the point; hits within `grace` mm of it do not count. */
  visible(point: Vec3, grace: number): boolean;
  /** Where a point of this tooth's crown is now, while the stages play. */
  moved(tooth: ToothNumber | 'gum', point: Vec3): Vec3;
}

/** One kind of thing over the picture. */
export interface OverlayLayer {
  readonly element: HTMLElement;
  /** @param before - what was shown until now, null at first */
  setContent(before: OverlayContent | null, next: OverlayContent): void;
  place(view: Projection): void;
  /** Where it stands in sight and no word should lie. */
  obstacles(view: Projection): LabelWish[];
}

export interface Overlay {
  setContent(content: OverlayContent): void;
  /** Puts everything where the camera now sees it, and shows it. */
  place(projection: Projection): void;
  /** Shows nothing until it is placed again, as at first. */
  hide(): void;
  /** Shows pin `index` at `point` while it is dragged; null ends that. */
  previewPin(preview: { readonly index: number; readonly point: Vec3 } | null): void;
  /** The same for the proposal of a tooth. */
  previewProposal(preview: { readonly tooth: ToothNumber; readonly point: Vec3 } | null): void;
  dispose(): void;
}
