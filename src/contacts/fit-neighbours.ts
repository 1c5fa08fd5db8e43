import { inputError } from '../geometry/archgap-error.ts';
import type { Vec3 } from '../geometry/types.ts';
import { distance, dot, normalize, sub } from '../geometry/vec3.ts';
import { archOrder, digitOf, toothSortIndex } from '../teeth/notation.ts';
import { teethDetail } from '../teeth/sentence-in.ts';
import { textbookSize } from '../teeth/tooth-sizes-table.ts';
import type { Jaw, ToothNumber } from '../teeth/types.ts';

/** The tooth that stands next to a restoration on one side of it. */
export interface FitNeighbour {
  readonly tooth: ToothNumber;
  /** Tooth numbers between the two; none of them has a click. */
  readonly between: readonly ToothNumber[];
  /** Those of them that are not said to be absent: they may stand there all the same. */
  readonly unclicked: readonly ToothNumber[];
  /** Exact smallest distance of the two surfaces, mm; 0 where they cross. */
  readonly distanceMm: number;
}

/** A restoration in the row of a scan. Scan frame, mm. */
export interface PlacedRestoration {
  readonly tooth: ToothNumber;
  readonly centre: Vec3;
  readonly jaw: Jaw;
  readonly centres: ReadonlyMap<ToothNumber, Vec3>;
  readonly missing: readonly ToothNumber[];
  /** Exact smallest distance of its surface to that of a tooth, mm. */
  readonly distanceTo: (tooth: ToothNumber) => number;
}

/** A restoration farther from its neighbour by number than this, mm, is not in its place: no contact is planned so. */
const MOST_SPACE_MM = 4;
/** Centres nearer than this share of their textbook distance: the restoration stands in the neighbour's place. */
const LEAST_CENTRE_SHARE = 0.5;
/** In a row a tooth stands between its neighbours: from it they are seen at more than a right angle, within this cosine. */
const SAME_WAY_COSINE = 0.4;
/** A gap of this share of the textbook widths of the teeth that are absent in it is their site, still free. */
const SITE_SHARE = 0.5;

/**
 * The next tooth on either side of a restoration, towards the patient's right and towards the left; null where none
 * stands there. Beyond absent teeth the next one counts as long as the gap left is none of their sites.
 *
 * @throws ArchgapError `NO_NEIGHBOURS`, `RESTORATION_ELSEWHERE`
 */
export function fitNeighbours(place: PlacedRestoration): {
  readonly right: FitNeighbour | null;
  readonly left: FitNeighbour | null;
} {
  const sides = { right: nextTooth(place, -1), left: nextTooth(place, 1) };
  if (sides.right === null && sides.left === null) {
    throw inputError(
      'NO_NEIGHBOURS',
      `No other tooth than ${place.tooth} has a click on the scan; click the teeth beside the restoration.`,
      { details: { tooth: place.tooth } },
    );
  }
  return sides;
}

/** A third molar that nobody clicked counts as absent: most mouths lack it. */
const THIRD_MOLAR = 8;

/** Whether the next tooth by number, on the side where no clicked one follows, may stand there without a click. */
export function endsUnclicked({ jaw, tooth, missing }: PlacedRestoration, towardsRight: boolean): boolean {
  const next = archOrder(jaw)[toothSortIndex(tooth) + (towardsRight ? -1 : 1)];
  return next !== undefined && digitOf(next) !== THIRD_MOLAR && !missing.includes(next);
}

/** Whether the gap left to a tooth beyond absent ones is their site and no contact. */
export function isSite({ between, distanceMm }: FitNeighbour): boolean {
  return between.length > 0 && distanceMm > SITE_SHARE * between.reduce((sum, t) => sum + widthOf(t), 0);
}

function nextTooth(place: PlacedRestoration, step: 1 | -1): FitNeighbour | null {
  const order = archOrder(place.jaw);
  const between: ToothNumber[] = [];
  for (let at = toothSortIndex(place.tooth) + step; ; at += step) {
    const tooth = order[at];
    if (tooth === undefined) return null;
    if (!place.centres.has(tooth)) {
      between.push(tooth);
      continue;
    }
    const unclicked = between.filter((number) => !place.missing.includes(number));
    const found = { tooth, between, unclicked, distanceMm: place.distanceTo(tooth) };
    checkPlace(place, found, order[at + step]);
    return found;
  }
}

function checkPlace(place: PlacedRestoration, near: FitNeighbour, beyond: ToothNumber | undefined): void {
  const { centre, centres, tooth } = place;
  const at = centres.get(near.tooth)!;
  if (near.between.length === 0 && near.distanceMm > MOST_SPACE_MM) {
    throw elsewhere(`lies ${near.distanceMm.toFixed(1)} mm away from tooth ${near.tooth}, its neighbour`, [
      near.tooth,
    ]);
  }
  const textbookMm = (widthOf(tooth) + widthOf(near.tooth)) / 2;
  if (distance(centre, at) < LEAST_CENTRE_SHARE * textbookMm) {
    throw elsewhere(`stands in the place of tooth ${near.tooth}`, [near.tooth]);
  }
  const further = beyond === undefined ? undefined : centres.get(beyond);
  if (further === undefined) return;
  if (dot(normalize(sub(centre, at)), normalize(sub(further, at))) > SAME_WAY_COSINE) {
    throw elsewhere(`lies on the other side of tooth ${near.tooth} than tooth ${tooth} does`, [
      near.tooth,
      tooth,
    ]);
  }
}

function widthOf(tooth: ToothNumber): number {
  return textbookSize(tooth).mesiodistalMm;
}

function elsewhere(found: string, teeth: readonly ToothNumber[]): Error {
  return inputError(
    'RESTORATION_ELSEWHERE',
    `The restoration ${found}; expected it in its place in the row, both files in one frame. Check the files, the unit and the tooth number.`,
    { details: { teeth: teethDetail(teeth) } },
  );
}
