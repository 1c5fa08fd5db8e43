import type { Vec3 } from '../../geometry/types.ts';
import { type CameraPose, panned, turned, zoomed } from './camera-pose.ts';
import { listenToGestures } from './pointer-gestures.ts';
import type { ViewCamera } from './view-camera.ts';

/** One CSS pixel of dragging turns by this much. */
const TURN_RAD_PER_PX = 0.0085;

export interface SteeringActions {
  /** The place of the surface under the cursor, or null over the ground. */
  surfaceAt(x: number, y: number): Vec3 | null;
  click(x: number, y: number): void;
  paints(x: number, y: number): boolean;
  paint(x: number, y: number, begins: boolean): void;
  hover(place: { readonly x: number; readonly y: number } | null): void;
  /** The camera was moved by hand or key. */
  moved(): void;
}

/** Hands and keys on the camera. */
export interface Steering {
  turnBy(yawDeg: number, pitchDeg: number): void;
  panBy(rightPx: number, downPx: number): void;
  zoomBy(factor: number): void;
  dispose(): void;
}

export function makeSteering(host: HTMLElement, eye: ViewCamera, actions: SteeringActions): Steering {
  let pivot: Vec3 = [0, 0, 0];
  const setPose = (pose: CameraPose): void => {
    eye.setPose(pose);
    actions.moved();
  };
  const pan = (dx: number, dy: number): void =>
    setPose(panned(eye.pose(), dx * eye.mmPerPx(), -dy * eye.mmPerPx()));
  const stop = listenToGestures(host, {
    turnStart(x, y) {
      // The place that was grabbed is the pivot; over the ground it is the middle of the view.
      pivot = actions.surfaceAt(x, y) ?? eye.pose().target;
    },
    turn: (dx, dy) => setPose(turned(eye.pose(), pivot, dx * TURN_RAD_PER_PX, dy * TURN_RAD_PER_PX)),
    pan,
    zoom(factor, x, y) {
      const across = (x - eye.width / 2) * eye.mmPerPx();
      const upward = (eye.height / 2 - y) * eye.mmPerPx();
      setPose(zoomed(eye.pose(), factor, across, upward));
    },
    roll: (angle, x, y) => setPose(turned(eye.pose(), eye.rayAt(x, y).origin, 0, 0, -angle)),
    click: actions.click,
    paints: actions.paints,
    paint: actions.paint,
    hover: actions.hover,
  });
  return {
    turnBy(yawDeg, pitchDeg) {
      const rad = Math.PI / 180;
      setPose(turned(eye.pose(), eye.pose().target, yawDeg * rad, pitchDeg * rad));
    },
    panBy: pan,
    zoomBy: (factor) => setPose(zoomed(eye.pose(), factor, 0, 0)),
    dispose: stop,
  };
}
