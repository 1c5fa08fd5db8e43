import { Quaternion, Vector3 } from 'three';
import type { Vec3 } from '../../geometry/types.ts';
import { between, type CameraPose, eased } from './camera-pose.ts';
import type { CameraState } from './drawing-messages.ts';

/** How long a flight to another view takes, ms. */
const FLIGHT_MS = 480;

let motion: MediaQueryList | null = null;

/** One query for all flights: browsers keep every query that a page ever asked. */
function wantsNoMotion(): boolean {
  motion ??= window.matchMedia('(prefers-reduced-motion: reduce)');
  return motion.matches;
}

/** All that says what is where on the screen. */
interface CameraShot {
  readonly pose: CameraPose;
  readonly width: number;
  readonly height: number;
  readonly centre: Vec3;
  readonly radiusMm: number;
}

/** The view's camera: a pose, flights between poses, and what a place on the screen means in the scan frame. */
export interface ViewCamera {
  pose(): CameraPose;
  /** What draws with it needs to know. */
  state(): CameraState;
  shot(): CameraShot;
  /** Stands as another camera did. */
  take(shot: CameraShot): void;
  /** Where the camera will be when a flight under way has ended. */
  destination(): CameraPose;
  /** Sets the pose at once and ends any flight. */
  setPose(pose: CameraPose): void;
  /** Flies there; at once when the person wants no motion. */
  flyTo(pose: CameraPose): void;
  resize(width: number, height: number): void;
  /** The scan's extent: near and far planes enclose it from every side. */
  setBounds(centre: Vec3, radiusMm: number): void;
  /** Moves a flight on; true while one is under way. */
  advance(now: number): boolean;
  readonly width: number;
  readonly height: number;
  mmPerPx(): number;
  project(point: Vec3): { readonly x: number; readonly y: number };
  /** A ray through a place on the screen, starting outside the scan. */
  rayAt(x: number, y: number): { readonly origin: Vec3; readonly direction: Vec3 };
  /** Unit vector from the scan to the eye. */
  towardsEye(): Vec3;
}

export function makeViewCamera(start: CameraPose): ViewCamera {
  let pose = start;
  let flight: { from: CameraPose; to: CameraPose; since: number | null } | null = null;
  let width = 1;
  let height = 1;
  let centre = new Vector3();
  let radiusMm = 50;
  /** The eye's place, and how far it sees. */
  const position = new Vector3();
  let farMm = 0;
  const right = new Vector3();
  const up = new Vector3();
  const back = new Vector3();

  const apply = (): void => {
    const turn = new Quaternion(...pose.rotation);
    right.set(1, 0, 0).applyQuaternion(turn);
    up.set(0, 1, 0).applyQuaternion(turn);
    back.set(0, 0, 1).applyQuaternion(turn);
    const target = new Vector3(...pose.target);
    // The eye stands just outside the scan's sphere, wherever the target is.
    const reach = Math.abs(centre.clone().sub(target).dot(back)) + radiusMm + 10;
    position.copy(target).addScaledVector(back, reach);
    farMm = 2 * reach + 10;
  };
  apply();

  return {
    pose: () => pose,
    state: () => ({
      position: position.toArray(),
      rotation: pose.rotation,
      halfWidthMm: ((pose.heightMm / 2) * width) / height,
      halfHeightMm: pose.heightMm / 2,
      farMm,
    }),
    shot: () => ({ pose, width, height, centre: centre.toArray(), radiusMm }),
    take(shot) {
      flight = null;
      ({ pose, width, height, radiusMm } = shot);
      centre = new Vector3(...shot.centre);
      apply();
    },
    destination: () => flight?.to ?? pose,
    setPose(next) {
      flight = null;
      pose = next;
      apply();
    },
    flyTo(next) {
      if (wantsNoMotion()) {
        flight = null;
        pose = next;
        apply();
      } else flight = { from: pose, to: next, since: null };
    },
    resize(w, h) {
      width = Math.max(1, w);
      height = Math.max(1, h);
      apply();
    },
    setBounds(c, r) {
      centre = new Vector3(...c);
      radiusMm = r;
      apply();
    },
    advance(now) {
      if (flight === null) return false;
      flight.since ??= now;
      const t = (now - flight.since) / FLIGHT_MS;
      pose = t >= 1 ? flight.to : between(flight.from, flight.to, eased(t));
      if (t >= 1) flight = null;
      apply();
      return flight !== null;
    },
    get width() {
      return width;
    },
    get height() {
      return height;
    },
    mmPerPx: () => pose.heightMm / height,
    project(point) {
      const d = new Vector3(...point).sub(new Vector3(...pose.target));
      const pxPerMm = height / pose.heightMm;
      return { x: width / 2 + d.dot(right) * pxPerMm, y: height / 2 - d.dot(up) * pxPerMm };
    },
    rayAt(x, y) {
      const mmPerPx = pose.heightMm / height;
      const origin = position
        .clone()
        .addScaledVector(right, (x - width / 2) * mmPerPx)
        .addScaledVector(up, (height / 2 - y) * mmPerPx);
      return { origin: origin.toArray(), direction: back.clone().negate().toArray() };
    },
    towardsEye: () => back.toArray(),
  };
}
