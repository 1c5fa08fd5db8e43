import type { Contact } from '../../contacts/types.ts';
import type { Vec3 } from '../../geometry/types.ts';
import { jawOf } from '../../teeth/notation.ts';
import type { Jaw, ToothNumber } from '../../teeth/types.ts';
import type { FitMark, ScanViewPaneProps } from '../kernel/display-types.ts';
import { numberAnchors } from './number-anchors.ts';
import type { NumberPlace } from './overlay-types.ts';
import { type CrownMotion, crownMotion } from './tooth-motion.ts';

/** Everything that is shown. Arrays are kept, not copied, and never written to. */
export interface ViewContent
  extends Pick<
    ScanViewPaneProps,
    | 'scan'
    | 'labels'
    | 'clicks'
    | 'proposals'
    | 'teeth'
    | 'contacts'
    | 'selected'
    | 'motions'
    | 'motionScale'
    | 'frame'
    | 'mode'
    | 'numbering'
    | 'earlier'
    | 'restoration'
    | 'fitMarks'
  > {
  /** Show the scanner's own colours instead of the quiet tints. */
  readonly scanColours: boolean;
  /** False: it is left out for now. */
  readonly showsRestoration: boolean;
}

/** Numbers of bare clicks stand this much above their pin, px. */
const NUMBER_ABOVE_PIN_PX = 18;

/** The jaw that is shown, from any tooth number there is; an empty scan is looked at like an upper one. */
export function jawShown(content: Pick<ViewContent, 'clicks' | 'teeth'>): Jaw {
  const tooth = content.teeth[0]?.tooth ?? content.clicks.find((c) => c.tooth !== 'gum')?.tooth;
  return tooth === undefined || tooth === 'gum' ? 'upper' : jawOf(tooth);
}

/** The crowns' motions as they stand now; empty when every crown stands where it was scanned. */
export function motionsShown(content: ViewContent): ReadonlyMap<ToothNumber, CrownMotion> {
  const { motions, motionScale, frame, teeth } = content;
  const shown = new Map<ToothNumber, CrownMotion>();
  if (motions === null || frame === null || motionScale === 0) return shown;
  const centres = new Map(teeth.map((t) => [t.tooth, t.centre]));
  for (const motion of motions) {
    const centre = centres.get(motion.tooth);
    if (centre !== undefined) shown.set(motion.tooth, crownMotion(motion, centre, frame, motionScale));
  }
  return shown;
}

/** Beside the crowns once they are known, else above the clicks. */
export function numberPlaces(content: ViewContent): readonly NumberPlace[] {
  const { scan, labels, frame, teeth, clicks } = content;
  const places = new Map<ToothNumber, NumberPlace>();
  if (scan !== null && labels !== null && frame !== null && teeth.length > 1) {
    for (const [tooth, anchor] of numberAnchors(teeth, frame, jawShown(content), scan, labels)) {
      places.set(tooth, { tooth, ...anchor, raisedPx: 0 });
    }
  }
  for (const { tooth, point } of clicks) {
    if (tooth !== 'gum' && !places.has(tooth)) {
      places.set(tooth, { tooth, at: point, samples: [point], raisedPx: NUMBER_ABOVE_PIN_PX });
    }
  }
  return [...places.values()];
}

/** True when `numberPlaces` gives the same for both. */
export function sameNumberPlaces(a: ViewContent, b: ViewContent): boolean {
  return (
    a.scan === b.scan &&
    a.labels === b.labels &&
    a.frame === b.frame &&
    a.teeth === b.teeth &&
    a.clicks === b.clicks
  );
}

const WORDS = [
  'teeth',
  'contacts',
  'selected',
  'mode',
  'numbering',
  'fitMarks',
  'showsRestoration',
] as const satisfies (keyof ViewContent)[];

/** False for other words, or others that are shown, beside the numbers: they have a place before the next picture is there. */
export function sameWords(a: ViewContent, b: ViewContent): boolean {
  return WORDS.every((part) => a[part] === b[part]);
}

const NO_MARKS: readonly FitMark[] = [];

/** The contacts of a restoration, while it is shown. */
export function fitMarksShown({ fitMarks, showsRestoration }: ViewContent): readonly FitMark[] {
  return showsRestoration ? (fitMarks ?? NO_MARKS) : NO_MARKS;
}

/** The place of a contact that the view flies to; null when the scan shows none. */
export function contactPlace(contact: Contact): Vec3 | null {
  const a = contact.pointA ?? contact.pointB;
  const b = contact.pointB ?? contact.pointA;
  return a === null || b === null ? null : [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2, (a[2] + b[2]) / 2];
}
