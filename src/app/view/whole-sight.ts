import type { DisplayScan } from '../kernel/display-types.ts';
import { boundingSphere, sampleVertices } from './bounding-sphere.ts';
import { type CameraPose, fitPose, type NamedView, sightOf, sightRotation } from './camera-pose.ts';
import { guessSight } from './guess-sight.ts';
import type { ViewCamera } from './view-camera.ts';
import { jawShown, type ViewContent } from './view-content.ts';

/** Free rim around a fitted scan: the buttons above, tooth numbers beside, the scale bar below. */
const RIM_PX = { top: 84, side: 44, bottom: 52 };
/** Vertices looked at to fit the view around the scan. */
const FIT_SAMPLE = 6000;
/**
 * Vertices from which the first sight is guessed. The engine runs through them before it has compiled what it runs:
 * with 40,000 that was the longest part of the task of a scan's first picture, clearing up what it made included.
 */
const SIGHT_SAMPLE = 8000;

/** The whole scan in the view, from the named sides. */
export interface WholeSight {
  /** Another scan: seen from above at once. */
  begin(scan: DisplayScan): void;
  /** The view has another size: the whole scan stays in it. */
  refit(): void;
  flyTo(view: NamedView): void;
  /** As it is turned now. */
  fit(): void;
}

export function makeWholeSight(eye: ViewCamera, content: () => ViewContent | null): WholeSight {
  let points: Float32Array = new Float32Array(0);
  const whole = (rotation: CameraPose['rotation']): CameraPose =>
    fitPose(points, rotation, { width: eye.width, height: eye.height, ...RIM_PX });
  /** Before the occlusal frame is known, above is guessed from the shape of the scan. */
  const rotationFor = (view: NamedView): CameraPose['rotation'] => {
    const shown = content();
    const frame = shown?.frame ?? null;
    const scan = shown?.scan ?? null;
    const guess =
      frame === null && view === 'above' && scan !== null
        ? guessSight(sampleVertices(scan.positions, SIGHT_SAMPLE), sampleVertices(scan.normals, SIGHT_SAMPLE))
        : null;
    return sightRotation(guess ?? sightOf(view, frame, shown === null ? 'upper' : jawShown(shown)));
  };
  return {
    begin({ positions }) {
      const { centre, radiusMm } = boundingSphere(positions);
      eye.setBounds(centre, radiusMm);
      points = sampleVertices(positions, FIT_SAMPLE);
      eye.setPose(whole(rotationFor('above')));
    },
    refit: () => eye.setPose(whole(eye.destination().rotation)),
    flyTo: (view) => eye.flyTo(whole(rotationFor(view))),
    fit: () => eye.flyTo(whole(eye.destination().rotation)),
  };
}
