import { composeMotions, invertMotion, movePoint, type RigidMotion, turnAngle } from '../geometry/rigid.ts';
import type { Vec3 } from '../geometry/types.ts';
import { dot, lerp, normalize, sub } from '../geometry/vec3.ts';
import type { ArchAlignment, ToothAlignment } from '../teeth/align-arch.ts';
import { UNCALIBRATED_SCANNER } from './settings.ts';
import type { Contact, Difference, ScannerProfile } from './types.ts';

/** Radius of curvature of a proximal wall on which a turn moves the closest place, mm; flatter walls are rare. */
const WALL_RADIUS_MM = 8;
/** A web of the usual 1 to 2 mm hides where in it the teeth are nearest, mm (standard). */
const WEB_PLACE_MM = 0.5;
const EXPANSION = 2;

/**
 * How much two neighbours came nearer or went apart at their contact between two scans, by the rigid motions of their
 * whole crowns: it needs no wall, so it is known for bridged contacts too. Negative = nearer.
 *
 * Value: n . (M pB - pB) with M the motion of B against A, n from A to B at the contact. Uncertainty: a crown is placed
 * no better than the slow wave of its surface on both scans, and no better than it fits the new scan (median distance);
 * a relative turn by theta on walls of radius R moves the closest place, R theta^2 / 2 in all; where no walls were seen
 * the place is known to half the height of a web only, and the turn moves it by as much.
 *
 * @param before - the pair on the earlier scan; its place and direction are used where it has them
 * @param after - the pair on the new scan; its place is carried back else
 * @returns null where a tooth was not recognised or neither scan shows where the contact is
 */
export function toothApproach(
  before: Contact | null,
  after: Contact | null,
  alignment: ArchAlignment,
  scanners: readonly (ScannerProfile | undefined)[],
): Difference | null {
  const pair = before ?? after;
  if (pair === null) return null;
  const a = recognised(alignment, pair.toothA);
  const b = recognised(alignment, pair.toothB);
  if (a === null || b === null) return null;
  const back = (motion: RigidMotion): RigidMotion => invertMotion(motion);
  const place =
    placeOf(before, (p) => p) ??
    // Carried back with tooth A's motion, the frame in which the approach is told.
    placeOf(after, (p, isDirection) =>
      isDirection ? turned(back(a.motion), p) : movePoint(back(a.motion), p),
    );
  if (place === null) return null;
  const relative = composeMotions(back(a.motion), b.motion);
  // Seen from the new scan the place is where B is now.
  const from =
    before !== null && hasPlace(before) ? place.point : movePoint(invertMotion(relative), place.point);
  const valueMm = dot(place.direction, sub(movePoint(relative, from), from));
  const waves = scanners.map((scanner) => (scanner ?? UNCALIBRATED_SCANNER).wavinessMm);
  const wave = Math.hypot(...waves);
  const placing = [a, b].map(({ medianOffsetMm }) => Math.max(wave, medianOffsetMm ?? 0));
  const turn = turnAngle(relative);
  const turning = (WALL_RADIUS_MM * turn ** 2) / 2;
  const placeMm = place.isMeasured ? 0 : WEB_PLACE_MM;
  return { valueMm, u95Mm: EXPANSION * Math.hypot(...placing, turning, placeMm * turn) };
}

function recognised(alignment: ArchAlignment, tooth: number): ToothAlignment | null {
  const found = alignment.teeth.find((one) => one.tooth === tooth);
  return found?.sighting === 'recognised' ? found : null;
}

function hasPlace({ pointA, pointB }: Contact): boolean {
  return pointA !== null && pointB !== null;
}

function placeOf(
  contact: Contact | null,
  carry: (p: Vec3, isDirection: boolean) => Vec3,
): { readonly point: Vec3; readonly direction: Vec3; readonly isMeasured: boolean } | null {
  if (contact === null || contact.pointA === null || contact.pointB === null) return null;
  const across = sub(contact.pointB, contact.pointA);
  const measured = contact.gap !== null && dot(across, across) > 0;
  const direction = measured ? normalize(across) : contact.closingDirection;
  return {
    point: carry(lerp(contact.pointA, contact.pointB, 0.5), false),
    direction: carry(direction, true),
    isMeasured: measured,
  };
}

function turned({ rotation }: RigidMotion, v: Vec3): Vec3 {
  return movePoint({ rotation, translation: [0, 0, 0] }, v);
}
