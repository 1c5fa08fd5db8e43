import type { DisplayScan } from '../kernel/display-types.ts';
import { boundingSphere, sampleVertices } from './bounding-sphere.ts';
import { type CameraPose, fitPose, type NamedView, sightOf, sightRotation } from './camera-pose.ts';
import { guessSight } from './guess-sight.ts';
import type { ViewCamera } from './view-camera.ts';
import { jawShown, type ViewContent } from './view-content.ts';

/** Free rim around a fitted scan: the buttons above, tooth numbers beside, the scale bar below. */
const RIM_PX = { top: 84, side: 44, bottom: 52 };
/**
 * Vertices by which a scan is fitted into the view and its first sight is guessed, sampled once: the engine runs through
 * them before it has compiled what it runs, within the task of a scan's first picture.
 */
const SAMPLE = 6000;

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
        ? guessSight(points, sampleVertices(scan.normals, SAMPLE))
        : null;
    return sightRotation(guess ?? sightOf(view, frame, shown === null ? 'upper' : jawShown(shown)));
  };
  return {
    begin({ positions }) {
      points = sampleVertices(positions, SAMPLE);
      const { centre, radiusMm } = boundingSphere(points);
      eye.setBounds(centre, radiusMm);
      eye.setPose(whole(rotationFor('above')));
    },
    refit: () => eye.setPose(whole(eye.destination().rotation)),
    flyTo: (view) => eye.flyTo(whole(rotationFor(view))),
    fit: () => eye.flyTo(whole(eye.destination().rotation)),
  };
}
