import type { Vec3 } from '../geometry/types.ts';
import { add, cross, distance, dot, normalize, perpendicularTo, scale, sub } from '../geometry/vec3.ts';
import { archOrder, digitOf, jawOf, toothSortIndex } from './notation.ts';
import type { PlacedTooth } from './occlusal-frame.ts';
import { textbookSize } from './tooth-sizes-table.ts';
import type { CrownFrame, ToothNumber } from './types.ts';

/** Numbers of the expected crown; tuned in trials on real arches. The first is room for the border to a clicked neighbour. */
const WIDTH_FACTOR = 1.08;
const ANTERIOR_HEIGHT = 0.95;
const POSTERIOR_HEIGHT = 0.85;
/** Third molars are seldom all through the gum. */
const THIRD_MOLAR_HEIGHT = 0.75;
const SCALE_MIN_PAIRS = 4;
const SCALE_RANGE = [0.85, 1.15] as const;
const LIMIT_CAP = 0.65;
const LIMIT_LEAST = 0.3;
/** Neighbours over the place of a missing tooth farther apart than this many widths do not touch. */
const FREE_SHARE = 1.3;
/** Largest turn of the arch from one tooth to the next that is believed, rad; a quarter of it goes on at the ends. */
const TURN_CAP = 0.35;
const TURN_SHARE = 0.25;

/**
 * Frames of the expected crowns. A neighbour limits a crown; where the next tooth was not clicked and is not missing
 * the crown ends at its own half-width, as the next crown begins there.
 *
 * @param teeth - in arch order
 * @param z - towards the crowns' tops
 * @param missing - teeth whose place is empty
 * @param heightScale - how much of the crowns stands out of the gum in this mouth (see `visibleHeightScale`)
 */
export function crownFrames(
  teeth: readonly PlacedTooth[],
  z: Vec3,
  scaleFactor: number,
  missing: readonly ToothNumber[],
  heightScale = 1,
): CrownFrame[] {
  const nextTo = (here: PlacedTooth, other: PlacedTooth | undefined): PlacedTooth | undefined =>
    other && noneBetween(here.tooth, other.tooth, missing) ? other : undefined;
  return teeth.map((here, k) => {
    const before = nextTo(here, teeth[k - 1]);
    const after = nextTo(here, teeth[k + 1]);
    const m = archDirection(teeth, k, z);
    const size = textbookSize(here.tooth);
    const width = WIDTH_FACTOR * scaleFactor * size.mesiodistalMm;
    return {
      tooth: here.tooth,
      origin: here.point,
      m,
      b: cross(z, m),
      z,
      limitBackMm: limitTowards(here, before, width, scaleFactor),
      limitOnMm: limitTowards(here, after, width, scaleFactor),
      freeBack: isFree(here, teeth[k - 1], width, missing),
      freeOn: isFree(here, teeth[k + 1], width, missing),
      halfBuccolingualMm: (scaleFactor * size.buccolingualMm) / 2,
      heightMm: heightScale * expectedHeightMm(here.tooth),
    };
  });
}

/** From the top of a crown's frame to the gum in an average mouth, mm. */
export function expectedHeightMm(tooth: ToothNumber): number {
  const digit = digitOf(tooth);
  const share = digit <= 3 ? ANTERIOR_HEIGHT : digit <= 7 ? POSTERIOR_HEIGHT : THIRD_MOLAR_HEIGHT;
  return share * textbookSize(tooth).crownMm;
}

/** True when every number between two teeth is missing. */
function noneBetween(a: ToothNumber, b: ToothNumber, missing: readonly ToothNumber[]): boolean {
  const [from, to] = [toothSortIndex(a), toothSortIndex(b)].sort((x, y) => x - y) as [number, number];
  return archOrder(jawOf(a))
    .slice(from + 1, to)
    .every((tooth) => missing.includes(tooth));
}

/** True when the tooth beside this one is missing, or when there can be none but a third molar that nobody clicked. */
function isFree(
  here: PlacedTooth,
  other: PlacedTooth | undefined,
  width: number,
  missing: readonly ToothNumber[],
): boolean {
  if (!other) return digitOf(here.tooth) >= 7;
  if (!noneBetween(here.tooth, other.tooth, missing)) return false;
  return distance(here.point, other.point) > FREE_SHARE * width && !adjacent(here.tooth, other.tooth);
}

function adjacent(a: ToothNumber, b: ToothNumber): boolean {
  return Math.abs(toothSortIndex(a) - toothSortIndex(b)) === 1;
}

function limitTowards(
  here: PlacedTooth,
  other: PlacedTooth | undefined,
  width: number,
  scaleFactor: number,
): number {
  if (!other) return width / WIDTH_FACTOR / 2;
  const otherWidth = WIDTH_FACTOR * scaleFactor * textbookSize(other.tooth).mesiodistalMm;
  const share = (distance(here.point, other.point) * width) / (width + otherWidth);
  return Math.max(LIMIT_LEAST * width, Math.min(LIMIT_CAP * width, share));
}

/** Unit direction of the arch at tooth k, in the occlusal plane, towards the patient's left end. */
function archDirection(teeth: readonly PlacedTooth[], k: number, z: Vec3): Vec3 {
  const flat = (a: PlacedTooth, b: PlacedTooth): Vec3 => normalize(perpendicularTo(sub(b.point, a.point), z));
  const before = teeth[k - 1];
  const here = teeth[k]!;
  const after = teeth[k + 1];
  if (before && after) return flat(before, after);
  const neighbour = before ?? after;
  if (!neighbour) return fallbackDirection(z);
  const last = before ? flat(before, here) : flat(here, neighbour);
  const beyond = before ? teeth[k - 2] : teeth[k + 2];
  if (!beyond) return last;
  const earlier = before ? flat(beyond, before) : flat(neighbour, beyond);
  const turn = Math.atan2(dot(cross(earlier, last), z), dot(earlier, last));
  const clamped = Math.max(-TURN_CAP, Math.min(TURN_CAP, turn));
  return rotateAbout(last, z, TURN_SHARE * clamped);
}

/** v (perpendicular to the unit vector z) turned about z. */
function rotateAbout(v: Vec3, z: Vec3, angle: number): Vec3 {
  return add(scale(v, Math.cos(angle)), scale(cross(z, v), Math.sin(angle)));
}

function fallbackDirection(z: Vec3): Vec3 {
  const [x, y, w] = [Math.abs(z[0]), Math.abs(z[1]), Math.abs(z[2])];
  const axis: Vec3 = x <= y && x <= w ? [1, 0, 0] : y <= w ? [0, 1, 0] : [0, 0, 1];
  return normalize(perpendicularTo(axis, z));
}

/**
 * How large this mouth's teeth are against the textbook: median of click spacing over mean mesiodistal width of the
 * two, over neighbouring numbers; 1 when fewer than four pairs say so.
 */
export function mouthScale(teeth: readonly PlacedTooth[]): number {
  const ratios: number[] = [];
  for (let k = 1; k < teeth.length; k++) {
    const a = teeth[k - 1]!;
    const b = teeth[k]!;
    if (toothSortIndex(b.tooth) !== toothSortIndex(a.tooth) + 1) continue;
    const expected = (textbookSize(a.tooth).mesiodistalMm + textbookSize(b.tooth).mesiodistalMm) / 2;
    ratios.push(distance(a.point, b.point) / expected);
  }
  if (ratios.length < SCALE_MIN_PAIRS) return 1;
  ratios.sort((a, b) => a - b);
  const middle = ratios.length >> 1;
  const median = ratios.length % 2 === 1 ? ratios[middle]! : (ratios[middle - 1]! + ratios[middle]!) / 2;
  return Math.max(SCALE_RANGE[0], Math.min(SCALE_RANGE[1], median));
}

/** Sorts teeth of one jaw into arch order, patient's right to left. */
export function inArchOrder<T extends { readonly tooth: ToothNumber }>(teeth: readonly T[]): T[] {
  return teeth.toSorted(
    (a, b) =>
      jawOf(a.tooth).localeCompare(jawOf(b.tooth)) || toothSortIndex(a.tooth) - toothSortIndex(b.tooth),
  );
}
