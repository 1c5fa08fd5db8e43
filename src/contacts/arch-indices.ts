import type { Vec3 } from '../geometry/types.ts';
import { dot, lerp, scale, sub } from '../geometry/vec3.ts';
import { archOrder, digitOf } from '../teeth/notation.ts';
import type { ToothMarks, ToothNumber, ToothRecord } from '../teeth/types.ts';
import type { Analysis } from './types.ts';
import { COVERAGE_FACTOR, combineStandard } from './uncertainty.ts';

/** One number about a whole arch, or why there is none. */
export interface ArchIndex {
  readonly code: 'irregularity' | 'arch-depth' | 'intercanine-width' | 'intermolar-width' | 'measured-spaces';
  readonly name: string;
  readonly valueMm: number | null;
  /** Expanded uncertainty k = 2, mm; null where there is no value. */
  readonly u95Mm: number | null;
  /** A class that goes with the value, such as `minimal`. */
  readonly grade: string | null;
  readonly definition: string;
  readonly source: string;
  /** Why there is no value, in a sentence. */
  readonly reason: string | null;
}

/**
 * Standard uncertainties of places on a crown, mm, from trials on synthetic scans (docs/validation.md), not checked on
 * real teeth: where across a proximal wall its outermost place lies, when it is seen and when a web hides it; and a
 * cusp's tip, taken as it stands, worn or not.
 */
const PLACE_SEEN_MM = 0.12;
const PLACE_HIDDEN_MM = 0.2;
const TIP_MM = 0.15;

/** Little 1975: whole millimetres bound the classes and leave gaps between them; here the rounded value decides. */
const IRREGULARITY_GRADES: readonly (readonly [number, string])[] = [
  [0, 'perfect'],
  [3, 'minimal'],
  [6, 'moderate'],
  [9, 'severe'],
  [Number.POSITIVE_INFINITY, 'very severe'],
];

/** The published class of an irregularity index, mm. */
export function irregularityGrade(valueMm: number): string {
  const rounded = Math.round(valueMm);
  return IRREGULARITY_GRADES.find(([most]) => rounded <= most)![1];
}

type Described = Pick<ArchIndex, 'code' | 'name' | 'definition' | 'source'>;

const IRREGULARITY: Described = {
  code: 'irregularity',
  name: 'Irregularity of the front teeth',
  definition:
    'Sum over the five contacts from canine to canine of the offset between the two anatomic contact points, in the occlusal plane and across the arch; where the points overlap along the arch, their whole distance. Spaces along the arch do not count. The contact point of a crown is its outermost place along its own mesiodistal axis.',
  source:
    'Little 1975, Am J Orthod 68:554 (index; that spaces are disregarded is from memory). The published classes 0, 1-3, 4-6, 7-9, 10 leave gaps; the value rounded to whole millimetres decides.',
};
const DEPTH: Described = {
  code: 'arch-depth',
  name: 'Arch depth',
  definition:
    'In the occlusal plane: from the middle between the mesial contact points of the two central incisors to the line through the mesial contact points of the two first molars.',
  source: 'Common definition in arch analysis (from memory).',
};
const CANINES: Described = {
  code: 'intercanine-width',
  name: 'Intercanine width',
  definition:
    'In the occlusal plane: between the tips of the two canines, taken as the highest places of their crowns.',
  source: 'Common definition by cusp tips, as in Bishara et al. 1997 (from memory).',
};
const MOLARS: Described = {
  code: 'intermolar-width',
  name: 'Intermolar width',
  definition:
    'In the occlusal plane: between the mesiobuccal cusp tips of the two first molars, taken as the highest places of the mesial and buccal quarter of their crowns.',
  source: 'Common definition by cusp tips, as in Bishara et al. 1997 (from memory).',
};
const SPACES: Described = {
  code: 'measured-spaces',
  name: 'Sum of the measured spaces',
  definition:
    'Sum of the spaces that were measured between the mesial contact points of the two first molars, overlaps taken off. Bridged contacts and sites of absent teeth are not in it.',
  source:
    'Not a space analysis: the length of a curve through the crowns’ centres, less the widths, was 0.7 to 1.5 mm off on synthetic scans and is not shown.',
};

function found(
  what: Described,
  valueMm: number,
  terms: readonly number[],
  grade: string | null = null,
): ArchIndex {
  return { ...what, valueMm, u95Mm: COVERAGE_FACTOR * combineStandard(terms), grade, reason: null };
}

function absent(what: Described, reason: string): ArchIndex {
  return { ...what, valueMm: null, u95Mm: null, grade: null, reason };
}

/** Records by digit and side: [right, left]. */
interface Row {
  readonly analysis: Analysis;
  readonly order: readonly ToothNumber[];
  readonly at: (tooth: ToothNumber) => ToothRecord | undefined;
}

/**
 * The indices of one arch, each from the marks that `sizeTeeth` left on the crowns. What cannot be told, because a
 * tooth is absent or its place was not found, has no value but a reason.
 */
export function archIndices(analysis: Analysis): ArchIndex[] {
  const records = new Map(analysis.teeth.map((record) => [record.tooth, record]));
  const row: Row = { analysis, order: archOrder(analysis.jaw), at: (tooth) => records.get(tooth) };
  return [
    irregularity(row),
    archDepth(row),
    cuspWidth(row, 3, CANINES),
    cuspWidth(row, 6, MOLARS),
    measuredSpaces(row),
  ];
}

/** The teeth of the arch with digits up to the given one, right to left. */
function within(row: Row, digit: number): ToothNumber[] {
  return row.order.filter((tooth) => digitOf(tooth) <= digit);
}

/** The two teeth of a digit, right and left. */
function bothOf(row: Row, digit: number): [ToothNumber, ToothNumber] {
  const [right, left] = row.order.filter((tooth) => digitOf(tooth) === digit);
  return [right!, left!];
}

/** A sentence about teeth without what an index needs, or null. */
function lack(row: Row, teeth: readonly ToothNumber[]): string | null {
  const gone = teeth.filter((tooth) => row.at(tooth) === undefined);
  if (gone.length > 0) return `Not on the scan: ${gone.join(', ')}.`;
  const unmarked = teeth.filter((tooth) => row.at(tooth)?.marks === undefined);
  return unmarked.length > 0 ? `The walls are not seen well enough: ${unmarked.join(', ')}.` : null;
}

function marksOf(row: Row, tooth: ToothNumber): ToothMarks {
  const marks = row.at(tooth)?.marks;
  if (!marks) throw new RangeError(`tooth ${tooth} carries no marks`);
  return marks;
}

function placeMm(seen: boolean): number {
  return seen ? PLACE_SEEN_MM : PLACE_HIDDEN_MM;
}

/** Distance in the occlusal plane, and the vector. */
function flat(row: Row, from: Vec3, to: Vec3): Vec3 {
  const { z } = row.analysis.frame;
  const d = sub(to, from);
  return sub(d, scale(z, dot(d, z)));
}

function lengthOf(v: Vec3): number {
  return Math.hypot(...v);
}

function irregularity(row: Row): ArchIndex {
  const teeth = within(row, 3);
  const missing = lack(row, teeth);
  if (missing !== null) return absent(IRREGULARITY, missing);
  const terms: number[] = [];
  let sum = 0;
  for (let k = 0; k + 1 < teeth.length; k += 1) {
    const [a, b] = [teeth[k]!, teeth[k + 1]!];
    const contact = row.analysis.contacts.find(({ toothA, toothB }) => toothA === a && toothB === b);
    if (contact === undefined) return absent(IRREGULARITY, `The contact ${a}-${b} is not in the result.`);
    const [left, right] = [marksOf(row, a), marksOf(row, b)];
    const step = flat(row, left.left, right.right);
    const t = contact.closingDirection;
    const along = dot(step, t);
    const across = lengthOf(sub(step, scale(t, along)));
    sum += along < 0 ? Math.hypot(across, along) : across;
    terms.push(placeMm(left.leftSeen), placeMm(right.rightSeen));
  }
  return found(IRREGULARITY, sum, terms, irregularityGrade(sum));
}

function archDepth(row: Row): ArchIndex {
  const front = bothOf(row, 1);
  const back = bothOf(row, 6);
  const missing = lack(row, [...front, ...back]);
  if (missing !== null) return absent(DEPTH, missing);
  const middle = lerp(marksOf(row, front[0]).left, marksOf(row, front[1]).right, 0.5);
  const [right, left] = [marksOf(row, back[0]), marksOf(row, back[1])];
  const line = flat(row, right.left, left.right);
  const out = flat(row, right.left, middle);
  const share = dot(out, line) / dot(line, line);
  const depthMm = lengthOf(sub(out, scale(line, share)));
  const molars = [placeMm(right.leftSeen) * (1 - share), placeMm(left.rightSeen) * share];
  return found(DEPTH, depthMm, [PLACE_HIDDEN_MM, ...molars]);
}

function cuspWidth(row: Row, digit: number, what: Described): ArchIndex {
  const teeth = bothOf(row, digit);
  const missing = lack(row, teeth);
  if (missing !== null) return absent(what, missing);
  const [right, left] = teeth.map((tooth) => marksOf(row, tooth).cusp);
  if (!right || !left) return absent(what, 'A cusp tip is not seen.');
  return found(what, lengthOf(flat(row, right, left)), [TIP_MM, TIP_MM]);
}

function measuredSpaces(row: Row): ArchIndex {
  const front = new Set(within(row, 6));
  const measured = row.analysis.contacts.flatMap(({ toothA, toothB, gap }) =>
    front.has(toothA) && front.has(toothB) && gap !== null ? [gap] : [],
  );
  if (measured.length === 0) return absent(SPACES, 'No space was measured there.');
  const sum = measured.reduce((total, { valueMm }) => total + valueMm, 0);
  return found(
    SPACES,
    sum,
    measured.map(({ u95Mm }) => u95Mm / COVERAGE_FACTOR),
  );
}
