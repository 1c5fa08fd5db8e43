import { inputError } from '../geometry/archgap-error.ts';
import type { Vec3 } from '../geometry/types.ts';
import { dot, sub } from '../geometry/vec3.ts';
import { templatePlace } from './arch-template.ts';
import { archOrder, toothSortIndex } from './notation.ts';
import type { PlacedTooth } from './occlusal-frame.ts';
import { teethDetail } from './sentence-in.ts';
import { textbookSize } from './tooth-sizes-table.ts';
import type { Jaw, OcclusalFrame, ToothNumber, ToothWarning } from './types.ts';

/** Teeth needed before the sense of the numbers is judged, and how much better a mirror must fit (squares). */
const MIRROR_LEAST_TEETH = 6;
const MIRROR_BETTER = 3;
/** Misfit (rms, mm) that no arch form explains: below it the numbers are never called mirrored. */
const MIRROR_LEAST_MISFIT_MM = 2;
/** Teeth needed before their order along the arch is judged: two have none. */
const ORDER_LEAST_TEETH = 3;
/** A tooth may stand before its predecessor by this share of the narrower one's width: crowding overlaps. */
const OVERLAP_SHARE = 1 / 3;
/** A space between numbered neighbours wider than the narrowest tooth is the site of a tooth, mm. */
const MOST_SPACE_MM = 6;
/** The template is carried on by this much behind its last teeth, mm. */
const BEHIND_MM = 40;

type Point2 = readonly [number, number];

/** Codes of findings with which no contact may be measured: the pairs would not be neighbours. */
const HOLDING_BACK = ['NUMBERS_MIRRORED', 'NUMBERS_OUT_OF_ORDER'];

/**
 * Whether the numbers can belong to teeth at these places. They run the wrong way round (`NUMBERS_MIRRORED`), or
 * teeth that follow in number do not follow along the arch or are too far apart (`NUMBERS_OUT_OF_ORDER`). A textbook
 * arch is laid onto the teeth and each tooth goes to the nearest place of that curve, so a tooth outside or inside
 * the row keeps its place along it.
 *
 * @param teeth - places of the crowns, best their centres, mm
 */
export function checkNumbers(
  teeth: readonly PlacedTooth[],
  frame: OcclusalFrame,
  jaw: Jaw,
): ToothWarning | null {
  return checkMirrored(teeth, frame, jaw) ?? checkOrder(teeth, frame, jaw) ?? checkDistances(teeth, jaw);
}

/**
 * @throws ArchgapError `NUMBERS_MIRRORED`, `NUMBERS_OUT_OF_ORDER`
 */
export function refuseWrongNumbers(
  centres: ReadonlyMap<ToothNumber, Vec3>,
  frame: OcclusalFrame,
  jaw: Jaw,
): void {
  const teeth = [...centres].map(([tooth, point]): PlacedTooth => ({ tooth, point }));
  const found = checkNumbers(teeth, frame, jaw);
  if (!found || !HOLDING_BACK.includes(found.code)) return;
  throw inputError(found.code, found.sentence, { details: { teeth: teethDetail(found.teeth) } });
}

function checkMirrored(teeth: readonly PlacedTooth[], frame: OcclusalFrame, jaw: Jaw): ToothWarning | null {
  if (teeth.length < MIRROR_LEAST_TEETH) return null;
  const seen = teeth.map(({ point }) => inPlane(frame, point));
  const meant = teeth.map(({ tooth }) => templatePlace(tooth, jaw));
  const asMeant = layOnto(meant, seen).misfitMm2;
  const mirrored = layOnto(
    meant.map(([x, y]): Point2 => [-x, y]),
    seen,
  ).misfitMm2;
  if (asMeant < MIRROR_LEAST_MISFIT_MM ** 2 || asMeant < MIRROR_BETTER * mirrored) return null;
  const other = jaw === 'upper' ? 'a lower' : 'an upper';
  return {
    code: 'NUMBERS_MIRRORED',
    tooth: null,
    teeth: [],
    sentence: `The numbers run the wrong way round this arch: it looks like ${other} jaw, or right and left are exchanged. Check the jaw and the numbers; until then nothing is measured.`,
  };
}

function checkOrder(teeth: readonly PlacedTooth[], frame: OcclusalFrame, jaw: Jaw): ToothWarning | null {
  if (teeth.length < ORDER_LEAST_TEETH) return null;
  const row = inArchOrder(teeth);
  const along = placesAlong(row, frame, jaw);
  if (!standsBeforeEarlier(row, along)) return null;
  const byPlace = row.map((_, k) => k).sort((a, b) => along[a]! - along[b]!);
  const moved = byPlace.filter((k, place) => k !== place).map((k) => row[k]!.tooth);
  moved.sort((a, b) => toothSortIndex(a) - toothSortIndex(b));
  const [one, two] = [moved[0]!, moved.at(-1)!];
  const found = `Along the arch the teeth stand as ${byPlace.map((k) => row[k]!.tooth).join(', ')}`;
  const guess =
    moved.length === 2
      ? `${one} and ${two} seem exchanged`
      : `the numbers from ${one} to ${two} do not follow each other`;
  return {
    code: 'NUMBERS_OUT_OF_ORDER',
    tooth: one,
    teeth: row.map(({ tooth }) => tooth),
    sentence: `${found}: ${guess}. Correct the numbers; until then nothing is measured, as teeth next to each other by number must be neighbours.`,
  };
}

/** Whether a tooth stands farther before one that precedes it in number than overlaps explain. */
function standsBeforeEarlier(row: readonly PlacedTooth[], along: readonly number[]): boolean {
  for (let j = 0; j < row.length; j++) {
    for (let i = 0; i < j; i++) {
      if (along[i]! - along[j]! > mostOverlap(row[i]!.tooth, row[j]!.tooth)) return true;
    }
  }
  return false;
}

/** Neighbours by number with room for another tooth between them: one of the numbers is wrong. */
function checkDistances(teeth: readonly PlacedTooth[], jaw: Jaw): ToothWarning | null {
  const order = archOrder(jaw);
  const row = inArchOrder(teeth);
  for (const [k, b] of row.entries()) {
    const a = row[k - 1];
    if (!a || order.indexOf(b.tooth) - order.indexOf(a.tooth) !== 1) continue;
    const d = sub(b.point, a.point);
    const apart = Math.sqrt(dot(d, d));
    const expected = (textbookSize(a.tooth).mesiodistalMm + textbookSize(b.tooth).mesiodistalMm) / 2;
    if (apart <= expected + MOST_SPACE_MM) continue;
    return {
      code: 'NUMBERS_OUT_OF_ORDER',
      tooth: b.tooth,
      teeth: [a.tooth, b.tooth],
      sentence: `The middles of ${a.tooth} and ${b.tooth} lie ${apart.toFixed(1)} mm apart, where neighbours have about ${expected.toFixed(1)} mm: a whole tooth has room between them. Check the numbers; until then nothing is measured.`,
    };
  }
  return null;
}

function inArchOrder(teeth: readonly PlacedTooth[]): PlacedTooth[] {
  return [...teeth].sort((a, b) => toothSortIndex(a.tooth) - toothSortIndex(b.tooth));
}

function mostOverlap(a: ToothNumber, b: ToothNumber): number {
  return OVERLAP_SHARE * Math.min(textbookSize(a).mesiodistalMm, textbookSize(b).mesiodistalMm);
}

function inPlane(frame: OcclusalFrame, point: Vec3): Point2 {
  const d = sub(point, frame.origin);
  return [dot(d, frame.x), dot(d, frame.y)];
}

/** Where each tooth lies along the textbook arch laid onto all of them, right to left, mm. */
function placesAlong(row: readonly PlacedTooth[], frame: OcclusalFrame, jaw: Jaw): number[] {
  const seen = row.map(({ point }) => inPlane(frame, point));
  const { place } = layOnto(
    row.map(({ tooth }) => templatePlace(tooth, jaw)),
    seen,
  );
  const inside = archOrder(jaw).map((tooth) => templatePlace(tooth, jaw));
  const [first, last] = [inside[0]!, inside.at(-1)!];
  const curve: Point2[] = [
    [first[0], first[1] - BEHIND_MM] as const,
    ...inside,
    [last[0], last[1] - BEHIND_MM] as const,
  ].map(place);
  return seen.map((point) => nearestAlong(curve, point));
}

/** Arc length of the place of a polyline that is nearest to a point. */
function nearestAlong(curve: readonly Point2[], [px, py]: Point2): number {
  let best = 0;
  let least = Number.POSITIVE_INFINITY;
  let travelled = 0;
  for (let k = 1; k < curve.length; k++) {
    const [ax, ay] = curve[k - 1]!;
    const [dx, dy] = [curve[k]![0] - ax, curve[k]![1] - ay];
    const size2 = dx * dx + dy * dy;
    const f = size2 > 0 ? Math.min(1, Math.max(0, ((px - ax) * dx + (py - ay) * dy) / size2)) : 0;
    const off = Math.hypot(px - ax - f * dx, py - ay - f * dy);
    const size = Math.sqrt(size2);
    if (off < least) {
      least = off;
      best = travelled + f * size;
    }
    travelled += size;
  }
  return best;
}

/** The turn, shift and scale (no mirror) that lay one set of points best onto another (Procrustes in the plane). */
function layOnto(
  from: readonly Point2[],
  onto: readonly Point2[],
): { readonly place: (point: Point2) => Point2; readonly misfitMm2: number } {
  const n = onto.length;
  const mean = (points: readonly Point2[], k: 0 | 1): number =>
    points.reduce((sum, point) => sum + point[k], 0) / n;
  const [fx, fy, ox, oy] = [mean(from, 0), mean(from, 1), mean(onto, 0), mean(onto, 1)];
  let cosine = 0;
  let sine = 0;
  let fromSize = 0;
  let ontoSize = 0;
  onto.forEach(([x, y], k) => {
    const [u, v] = [x - ox, y - oy];
    const [p, q] = [from[k]![0] - fx, from[k]![1] - fy];
    cosine += u * p + v * q;
    sine += v * p - u * q;
    ontoSize += u * u + v * v;
    fromSize += p * p + q * q;
  });
  const [c, s] = fromSize > 0 ? [cosine / fromSize, sine / fromSize] : [1, 0];
  return {
    place: ([x, y]) => [ox + c * (x - fx) - s * (y - fy), oy + s * (x - fx) + c * (y - fy)],
    misfitMm2: fromSize > 0 ? (ontoSize - (cosine * cosine + sine * sine) / fromSize) / n : ontoSize / n,
  };
}
