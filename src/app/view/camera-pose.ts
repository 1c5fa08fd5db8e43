import { Matrix4, Quaternion, Vector3 } from 'three';
import type { Vec3 } from '../../geometry/types.ts';
import type { Jaw, OcclusalFrame } from '../../teeth/types.ts';

/** Where an orthographic camera looks: at `target`, upright as `rotation` says, seeing `heightMm` from top to bottom. */
export interface CameraPose {
  readonly target: Vec3;
  /** Unit quaternion [x, y, z, w]; turns the camera's right, up, back into the scan frame. */
  readonly rotation: readonly [number, number, number, number];
  readonly heightMm: number;
}

export type NamedView = 'above' | 'front' | 'right' | 'left';
/** In the order of the keys 1 to 4. */
export const NAMED_VIEWS: readonly NamedView[] = ['above', 'front', 'right', 'left'];

/** Directions in the scan frame: `back` from the target to the eye, `up` on the screen. */
export interface Sight {
  readonly back: Vec3;
  readonly up: Vec3;
}

/** A bare scan, no teeth known yet: the axes of the file are as good a start as others. */
const FILE_SIGHTS: Record<NamedView, Sight> = {
  above: { back: [0, 0, 1], up: [0, 1, 0] },
  front: { back: [0, -1, 0], up: [0, 0, 1] },
  right: { back: [-1, 0, 0], up: [0, 0, 1] },
  left: { back: [1, 0, 0], up: [0, 0, 1] },
};

/** Elevation towards the crowns' tops from which a contact is looked at: both walls and the embrasure are seen. */
const CONTACT_ELEVATION_RAD = (28 * Math.PI) / 180;
/** A contact fills the view with about the width of the two crowns beside it. */
const CONTACT_HEIGHT_MM = 15;
/** The size of the view and the rim that a fitted scan leaves free for buttons, numbers and scale bar. CSS pixels. */
export interface ViewArea {
  readonly width: number;
  readonly height: number;
  readonly top: number;
  readonly side: number;
  readonly bottom: number;
}
/** A rim never takes more than this share of a small view. */
const MOST_RIM_SHARE = 0.2;
/** Nearest and farthest zoom. */
const MIN_HEIGHT_MM = 1;
const MAX_HEIGHT_MM = 600;
/** What an empty view shows from top to bottom. */
const EMPTY_HEIGHT_MM = 60;

const scaled = (v: Vec3, s: number): Vec3 => [v[0] * s, v[1] * s, v[2] * s];

/**
 * Anatomical directions from the frame's y (front) and z (crowns' tops) and the jaw. The frame's x is not used, so
 * that its handedness does not matter: left = headwards x front.
 */
export function headwardsOf(frame: OcclusalFrame, jaw: Jaw): Vec3 {
  return jaw === 'upper' ? scaled(frame.z, -1) : frame.z;
}

/**
 * The way a named view looks: the patient's right is on the left of the picture and the upper jaw's crowns hang
 * down, as in a photograph.
 */
export function sightOf(view: NamedView, frame: OcclusalFrame | null, jaw: Jaw): Sight {
  if (frame === null) return FILE_SIGHTS[view];
  const headwards = headwardsOf(frame, jaw);
  const toLeft = new Vector3(...headwards).cross(new Vector3(...frame.y)).toArray();
  switch (view) {
    case 'above':
      return { back: frame.z, up: jaw === 'upper' ? frame.y : scaled(frame.y, -1) };
    case 'front':
      return { back: frame.y, up: headwards };
    case 'right':
      return { back: scaled(toLeft, -1), up: headwards };
    case 'left':
      return { back: toLeft, up: headwards };
  }
}

/** The rotation of a camera with this sight; `up` is made square to `back`. */
export function sightRotation(sight: Sight): CameraPose['rotation'] {
  const back = new Vector3(...sight.back).normalize();
  const right = new Vector3(...sight.up).cross(back).normalize();
  const up = new Vector3().crossVectors(back, right);
  return toTuple(new Quaternion().setFromRotationMatrix(new Matrix4().makeBasis(right, up, back)));
}

/**
 * Looks at a contact from the cheek's or lip's side, a little from the crowns' tops.
 *
 * @param closingDirection - unit, from the right tooth to the left one as the patient has them
 */
export function contactPose(place: Vec3, closingDirection: Vec3, frame: OcclusalFrame, jaw: Jaw): CameraPose {
  const headwards = headwardsOf(frame, jaw);
  const outward = new Vector3(...closingDirection).cross(new Vector3(...headwards)).normalize();
  const back = outward
    .multiplyScalar(Math.cos(CONTACT_ELEVATION_RAD))
    .addScaledVector(new Vector3(...frame.z), Math.sin(CONTACT_ELEVATION_RAD));
  const rotation = sightRotation({ back: back.toArray(), up: headwards });
  return { target: place, rotation, heightMm: CONTACT_HEIGHT_MM };
}

/**
 * Puts the whole of `points` into the view without turning it.
 *
 * @param points - (k x 3) mm; a sample of the vertices is enough
 */
export function fitPose(points: Float32Array, rotation: CameraPose['rotation'], area: ViewArea): CameraPose {
  if (points.length === 0) return { target: [0, 0, 0], rotation, heightMm: EMPTY_HEIGHT_MM };
  const turn = new Quaternion(...rotation);
  const axes = [new Vector3(1, 0, 0), new Vector3(0, 1, 0), new Vector3(0, 0, 1)].map((a) =>
    a.applyQuaternion(turn),
  );
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  // Axis by axis and in plain loops: they run once, before the engine has compiled them.
  axes.forEach(({ x, y, z }, k) => {
    let least = Infinity;
    let most = -Infinity;
    for (let i = 0; i < points.length; i += 3) {
      const s = x * points[i]! + y * points[i + 1]! + z * points[i + 2]!;
      if (s < least) least = s;
      if (s > most) most = s;
    }
    low[k] = least;
    high[k] = most;
  });
  const rim = (wanted: number, whole: number): number => Math.min(wanted, whole * MOST_RIM_SHARE);
  const top = rim(area.top, area.height);
  const bottom = rim(area.bottom, area.height);
  const freeWidth = area.width - 2 * rim(area.side, area.width);
  const mmPerPx = Math.max(
    (high[1]! - low[1]!) / (area.height - top - bottom),
    (high[0]! - low[0]!) / freeWidth,
  );
  const heightMm = clampHeight(mmPerPx * area.height);
  const target = new Vector3();
  axes.forEach((a, k) => {
    target.addScaledVector(a, (low[k]! + high[k]!) / 2);
  });
  target.addScaledVector(axes[1]!, ((top - bottom) / 2) * (heightMm / area.height));
  return { target: target.toArray(), rotation, heightMm };
}

function clampHeight(heightMm: number): number {
  return Math.min(Math.max(heightMm, MIN_HEIGHT_MM), MAX_HEIGHT_MM);
}

/** Point of the plane through the target at `across`, `upward` mm from the middle of the view. */
export function placeOnScreen(pose: CameraPose, across: number, upward: number): Vec3 {
  const turn = new Quaternion(...pose.rotation);
  return new Vector3(across, upward, 0)
    .applyQuaternion(turn)
    .add(new Vector3(...pose.target))
    .toArray();
}

/** Shifts the scan by so many mm on the screen: to the right and upwards positive. */
export function panned(pose: CameraPose, rightMm: number, upMm: number): CameraPose {
  return { ...pose, target: placeOnScreen(pose, -rightMm, -upMm) };
}

/**
 * Zooms so that what lies under the cursor stays there.
 *
 * @param across - cursor from the middle of the view, mm at the present zoom
 * @param factor - above 1 comes nearer
 */
export function zoomed(pose: CameraPose, factor: number, across: number, upward: number): CameraPose {
  const heightMm = clampHeight(pose.heightMm / factor);
  const stay = 1 - heightMm / pose.heightMm;
  return { ...pose, heightMm, target: placeOnScreen(pose, across * stay, upward * stay) };
}

/**
 * Turns the view about `pivot` (which keeps its place on the screen): the scan follows the hand.
 *
 * @param yawRad - about the screen's upright, the near side goes right
 * @param pitchRad - about the screen's horizontal, the near side goes down
 * @param rollRad - in the plane of the screen, counter-clockwise
 */
export function turned(
  pose: CameraPose,
  pivot: Vec3,
  yawRad: number,
  pitchRad: number,
  rollRad = 0,
): CameraPose {
  const old = new Quaternion(...pose.rotation);
  // The scan turns by the given angles, hence the camera by the opposite ones, about its own axes.
  const local = new Quaternion()
    .setFromAxisAngle(new Vector3(0, 1, 0), -yawRad)
    .multiply(new Quaternion().setFromAxisAngle(new Vector3(1, 0, 0), -pitchRad))
    .multiply(new Quaternion().setFromAxisAngle(new Vector3(0, 0, 1), -rollRad));
  const rotation = old.clone().multiply(local).normalize();
  const offset = new Vector3(...pose.target).sub(new Vector3(...pivot));
  offset.applyQuaternion(old.clone().invert()).applyQuaternion(rotation);
  return { ...pose, rotation: toTuple(rotation), target: offset.add(new Vector3(...pivot)).toArray() };
}

/** A pose on the way from one to another: shortest turn, even change of scale. `t` from 0 to 1. */
export function between(from: CameraPose, to: CameraPose, t: number): CameraPose {
  const rotation = new Quaternion(...from.rotation).slerp(new Quaternion(...to.rotation), t);
  const target = new Vector3(...from.target).lerp(new Vector3(...to.target), t);
  const heightMm = from.heightMm * (to.heightMm / from.heightMm) ** t;
  return { target: target.toArray(), rotation: toTuple(rotation), heightMm };
}

/** Slow at both ends (smoothstep). */
export function eased(t: number): number {
  const c = Math.min(Math.max(t, 0), 1);
  return c * c * (3 - 2 * c);
}

function toTuple(q: Quaternion): CameraPose['rotation'] {
  return [q.x, q.y, q.z, q.w];
}
