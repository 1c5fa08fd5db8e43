import type { Vec3 } from '../geometry/types.ts';
import { distance } from '../geometry/vec3.ts';
import { archOrder, jawOf, toothSortIndex } from './notation.ts';
import { firstClicks, type PlacedTooth } from './occlusal-frame.ts';
import { textbookSize } from './tooth-sizes-table.ts';
import type { Click, Jaw, ToothNumber, ToothSentence } from './types.ts';

/** The number a new click most likely means. */
export interface NumberGuess {
  readonly tooth: ToothNumber;
  readonly sure: boolean;
  /** What to ask the user when not sure. */
  readonly question: ToothSentence | null;
}

/** The row is begun at this tooth unless the user says otherwise: the right second molar. */
const FIRST_DIGIT = 7;
/** Places of the arch order below this are on the patient's right. */
const MIDLINE = 8;
/** Misfit (share of the expected spacing) up to which a number is taken without asking. */
const SURE_MISFIT = 0.4;
/** How much better than the second-best number the best one must fit to be taken without asking. */
const SURE_LEAD = 0.15;
/** What leaving out a tooth at the end of the row weighs against a misfit in spacing. */
const LEFT_OUT_COST = 0.2;
/** A straight distance over several teeth may be this much shorter than along the arch. */
const CHORD_SHARE = 0.75;
/** A click this near to an earlier one (share of the tooth's width) is on the same tooth. */
const SAME_TOOTH = 0.35;

/**
 * Guesses the number of a new click from where it lies among the clicked teeth: numbers follow in arch order, and
 * the spacing to the neighbours is held against textbook widths, so that a left-out tooth is noticed.
 *
 * @param on - tooth whose labelled surface was clicked; null or 0 = gum, or not known
 * @returns null when every number of the jaw is taken or missing
 */
export function nextToothNumber(
  jaw: Jaw,
  clicks: readonly Click[],
  missing: readonly ToothNumber[],
  point: Vec3,
  on: ToothNumber | null = null,
): NumberGuess | null {
  const order = archOrder(jaw);
  const clicked = firstClicks({ jaw, clicks, missing, fixed: [] }).sort(
    (a, b) => toothSortIndex(a.tooth) - toothSortIndex(b.tooth),
  );
  const free = order.filter(
    (tooth) => !missing.includes(tooth) && !clicked.some((placed) => placed.tooth === tooth),
  );
  const here = clicked.find((placed) => placed.tooth === on);
  if (free.length === 0) return here ? correctionOf(here.tooth) : null;
  if (clicked.length === 0) return firstNumber(order, free);
  const same = clicked.find((placed) => {
    return distance(placed.point, point) < SAME_TOOTH * textbookSize(placed.tooth).mesiodistalMm;
  });
  if (same) return correctionOf(same.tooth);
  const ranked = candidates(free, clicked)
    .map((tooth) => {
      const skipped = leftOut(tooth, jaw, clicked, missing);
      const misfit = misfitOf(tooth, clicked, missing, point);
      return { tooth, skipped, misfit, cost: misfit + LEFT_OUT_COST * skipped.length };
    })
    .sort((a, b) => a.cost - b.cost);
  const best = ranked[0]!;
  const second = ranked[1];
  const clear = !second || second.cost - best.cost > SURE_LEAD;
  if (best.misfit <= SURE_MISFIT && clear) return askAboutLeftOut(best.tooth, best.skipped);
  // No number fits: whoever clicks into a crown that is told apart means that crown, not one that was swallowed.
  if (here && best.misfit > SURE_MISFIT) return correctionOf(here.tooth);
  const teeth = [best.tooth, ...(second ? [second.tooth] : [])];
  const sentence = `By its place this is ${teeth.join(' or ')}; which tooth is it?`;
  return { tooth: best.tooth, sure: false, question: { sentence, teeth } };
}

function correctionOf(tooth: ToothNumber): NumberGuess {
  const sentence = `This click lies on tooth ${tooth}, which is clicked already; does it correct that tooth?`;
  return { tooth, sure: false, question: { sentence, teeth: [tooth] } };
}

/** After the very first click there is no telling which way the row goes: it goes towards the midline. */
function candidates(free: readonly ToothNumber[], clicked: readonly PlacedTooth[]): readonly ToothNumber[] {
  if (clicked.length > 1) return free;
  const first = toothSortIndex(clicked[0]!.tooth);
  const rightSide = first < MIDLINE;
  const onward = free.filter((tooth) => toothSortIndex(tooth) > first === rightSide);
  return onward.length > 0 ? onward : free;
}

function firstNumber(order: readonly ToothNumber[], free: readonly ToothNumber[]): NumberGuess {
  const usual = order[MIDLINE - FIRST_DIGIT]!;
  const tooth = free.includes(usual) ? usual : free[0]!;
  const sentence = `Is this tooth ${tooth}, where the row begins? Change it if not.`;
  return { tooth, sure: false, question: { sentence, teeth: [tooth] } };
}

/** A number that leaves unclicked places between it and the row is asked about: missing, or not clicked yet? */
function askAboutLeftOut(tooth: ToothNumber, skipped: readonly ToothNumber[]): NumberGuess {
  if (skipped.length === 0) return { tooth, sure: true, question: null };
  const [verb, ask] = skipped.length === 1 ? ['is', 'is it'] : ['are', 'are they'];
  const names = skipped.join(', ');
  const sentence = `This looks like ${tooth}, so ${names} ${verb} left out; ${ask} missing or not clicked yet?`;
  return { tooth, sure: false, question: { sentence, teeth: [tooth, ...skipped] } };
}

/**
 * Largest relative misfit of the spacing to the two nearest clicked neighbours on either side. The second ones tell
 * which way the row goes; their straight distance may cut across the curve of the arch.
 */
function misfitOf(
  tooth: ToothNumber,
  clicked: readonly PlacedTooth[],
  missing: readonly ToothNumber[],
  point: Vec3,
): number {
  const index = toothSortIndex(tooth);
  const before = clicked.filter((placed) => toothSortIndex(placed.tooth) < index).slice(-2);
  const after = clicked.filter((placed) => toothSortIndex(placed.tooth) > index).slice(0, 2);
  const nearest = [before.at(-1), after[0]];
  let worst = 0;
  for (const neighbour of [...before, ...after]) {
    const { least, most } = expectedSpacing(tooth, neighbour.tooth, missing);
    const spacing = distance(neighbour.point, point);
    const shortest = nearest.includes(neighbour) ? least : CHORD_SHARE * least;
    const excess = spacing < shortest ? shortest - spacing : Math.max(0, spacing - most);
    worst = Math.max(worst, excess / ((least + most) / 2));
  }
  return worst;
}

/** Teeth neither clicked nor missing that a number at the end of the row would leave out. */
function leftOut(
  tooth: ToothNumber,
  jaw: Jaw,
  clicked: readonly PlacedTooth[],
  missing: readonly ToothNumber[],
): ToothNumber[] {
  const index = toothSortIndex(tooth);
  const before = clicked.findLast((placed) => toothSortIndex(placed.tooth) < index);
  const after = clicked.find((placed) => toothSortIndex(placed.tooth) > index);
  const rowEnd = before ?? after;
  if (!rowEnd || (before && after)) return [];
  const [from, to] = [index, toothSortIndex(rowEnd.tooth)].sort((a, b) => a - b) as [number, number];
  return archOrder(jaw)
    .slice(from + 1, to)
    .filter((one) => !missing.includes(one));
}

/** Sum of widths between two teeth's middles; missing teeth may have left their space or lost it. */
function expectedSpacing(
  a: ToothNumber,
  b: ToothNumber,
  missing: readonly ToothNumber[],
): { least: number; most: number } {
  const width = (tooth: ToothNumber): number => textbookSize(tooth).mesiodistalMm;
  const [from, to] = [toothSortIndex(a), toothSortIndex(b)].sort((x, y) => x - y) as [number, number];
  const between = archOrder(jawOf(a)).slice(from + 1, to);
  const ends = (width(a) + width(b)) / 2;
  let least = ends;
  let most = ends;
  for (const tooth of between) {
    most += width(tooth);
    if (!missing.includes(tooth)) least += width(tooth);
  }
  return { least, most };
}
