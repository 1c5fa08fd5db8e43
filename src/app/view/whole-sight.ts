import { type CameraPose, fitPose, type NamedView, sightOf, sightRotation } from './camera-pose.ts';
import type { ScanSight } from './display-messages.ts';
import type { ViewCamera } from './view-camera.ts';
import { jawShown, type ViewContent } from './view-content.ts';

/** Free rim around a fitted scan: the buttons above, tooth numbers beside, the scale bar below. */
const RIM_PX = { top: 84, side: 44, bottom: 52 };
const NOTHING = new Float32Array(0);

/** The whole scan in the view, from the named sides. */
export interface WholeSight {
  /** Another scan comes: nothing is known of it yet. */
  clear(): void;
  /**
   * It is seen from above at once, unless a contact of it is being looked at.
   *
   * @param from - or from there: how it was seen before
   */
  begin(sight: ScanSight, from: CameraPose | null): void;
  /** It has begun. */
  isKnown(): boolean;
  /** The view has another size: the whole scan stays in it. */
  refit(): void;
  flyTo(view: NamedView): void;
  /** As it is turned now. */
  fit(): void;
}

export function makeWholeSight(eye: ViewCamera, content: () => ViewContent | null): WholeSight {
  let sight: ScanSight | null = null;
  const whole = (rotation: CameraPose['rotation']): CameraPose =>
    fitPose(sight?.points ?? NOTHING, rotation, { width: eye.width, height: eye.height, ...RIM_PX });
  /** Before the occlusal frame is known, above is guessed from the shape of the scan. */
  const rotationFor = (view: NamedView): CameraPose['rotation'] => {
    const shown = content();
    const frame = shown?.frame ?? null;
    const guess = frame === null && view === 'above' ? (sight?.guess ?? null) : null;
    return sightRotation(guess ?? sightOf(view, frame, shown === null ? 'upper' : jawShown(shown)));
  };
  return {
    clear() {
      sight = null;
    },
    begin(next, from) {
      sight = next;
      eye.setBounds(next.centre, next.radiusMm);
      if (from !== null) eye.setPose(from);
      else if ((content()?.selected ?? null) === null) eye.setPose(whole(rotationFor('above')));
    },
    isKnown: () => sight !== null,
    refit: () => eye.setPose(whole(eye.destination().rotation)),
    flyTo: (view) => eye.flyTo(whole(rotationFor(view))),
    fit: () => eye.flyTo(whole(eye.destination().rotation)),
  };
}
