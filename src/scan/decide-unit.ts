import type { LengthUnit, UnitDecision } from './types.ts';
import { MM_PER_UNIT, UNIT_NAMES } from './units.ts';

/** What is known about a mesh before its unit is. All in the file's own unit. */
export interface MeshExtent {
  /** Longest side of the axis-parallel box. */
  readonly longestSide: number;
  /** Median edge length. */
  readonly medianEdge: number;
  /** Free text of the file's header. */
  readonly headerText: string;
}

/**
 * Plausible sizes, mm. A whole arch is 40 to 90 mm across: published mean widths at the first molars are 54 (lower)
 * and 58 mm (upper), SD 5 (Mina et al. 2017), to which the crowns and the gum beyond add; a single crown is 5 to 15 mm.
 * A quadrant or an arch on a base may lie between or above, a lower incisor's crown alone below.
 */
const ARCH_MM = [40, 90] as const;
const CROWN_MM = [5, 15] as const;
const POSSIBLE_MM = [3, 130] as const;
/** Intraoral scanners and laboratory exports resolve about 0.05 to 0.5 mm; decimated ones up to 1 and a little more. */
const USUAL_EDGE_MM = [0.05, 0.6] as const;
const POSSIBLE_EDGE_MM = [0.015, 1.5] as const;
/** What a usual size or edge adds to a possible unit, and by how much one must lead to be sure. */
const USUAL = 2;
const SURE_LEAD = 2;

/** In the order tried: the trade exports millimetres, so they win between equals. */
const UNITS: readonly LengthUnit[] = ['mm', 'cm', 'in', 'm'];

const within = (value: number, [low, high]: readonly [number, number]): boolean =>
  value >= low && value <= high;

/** 0: impossible for teeth; the higher, the more usual. */
function plausibility(extent: Omit<MeshExtent, 'headerText'>, unit: LengthUnit): number {
  const size = extent.longestSide * MM_PER_UNIT[unit];
  const edge = extent.medianEdge * MM_PER_UNIT[unit];
  if (!within(size, POSSIBLE_MM) || !within(edge, POSSIBLE_EDGE_MM)) return 0;
  const usualSize = within(size, ARCH_MM) || within(size, CROWN_MM) ? USUAL : 0;
  const usualEdge = within(edge, USUAL_EDGE_MM) ? USUAL : 0;
  return 1 + usualSize + usualEdge;
}

const HEADER_UNITS: readonly { unit: LengthUnit; words: RegExp }[] = [
  { unit: 'mm', words: /\bmillimet(er|re)s?\b|\bunits?\s*[:=]?\s*mm\b/i },
  { unit: 'cm', words: /\bcentimet(er|re)s?\b|\bunits?\s*[:=]?\s*cm\b/i },
  { unit: 'in', words: /\binch(es)?\b|\bunits?\s*[:=]?\s*in\b/i },
  { unit: 'm', words: /\bunits?\s*[:=]?\s*(m|met(er|re)s?)\b/i },
];

/** The unit that the header names; null when it names none or several. */
function unitInHeader(text: string): LengthUnit | null {
  const named = HEADER_UNITS.filter(({ words }) => words.test(text));
  return named.length === 1 ? named[0]!.unit : null;
}

/** Units in which the scan has the size of teeth, the most usual first. */
export function likelyUnits(extent: Omit<MeshExtent, 'headerText'>): readonly LengthUnit[] {
  return UNITS.map((unit) => ({ unit, score: plausibility(extent, unit) }))
    .filter(({ score }) => score > 0)
    .sort((a, b) => b.score - a.score)
    .map(({ unit }) => unit);
}

/** "61.2 mm"; three digits are plenty to judge a size by. */
function sizeText(extent: MeshExtent, unit: LengthUnit): string {
  return `${Number((extent.longestSide * MM_PER_UNIT[unit]).toPrecision(3))} mm`;
}

/**
 * Decides which unit a file's numbers are in. STL and PLY carry none: what the user says counts first, then what
 * the header's text names, if the size allows it, then the size. `sure` is false when another unit is as believable
 * or none is, or what the user says makes no size of teeth.
 *
 * @param chosen - what the user says, or null
 */
export function decideUnit(extent: MeshExtent, chosen: LengthUnit | null): UnitDecision {
  const across = (unit: LengthUnit) => `the scan is ${sizeText(extent, unit)} across`;
  if (chosen !== null) {
    const sure = within(extent.longestSide * MM_PER_UNIT[chosen], POSSIBLE_MM);
    const [fits] = likelyUnits(extent);
    const instead =
      fits === undefined
        ? 'check'
        : `in ${UNIT_NAMES[fits]} it would be ${sizeText(extent, fits)} across. Check`;
    const doubt = sure
      ? ''
      : ` That is not the size of teeth (${POSSIBLE_MM[0]} to ${POSSIBLE_MM[1]} mm); ${instead} the unit.`;
    const sentence = `You set the unit to ${UNIT_NAMES[chosen]}: ${across(chosen)}.${doubt}`;
    return { unit: chosen, basis: 'user', sure, sentence };
  }
  const named = unitInHeader(extent.headerText);
  if (named !== null && plausibility(extent, named) > 0) {
    const sentence = `The file’s header names ${UNIT_NAMES[named]}: ${across(named)}.`;
    return { unit: named, basis: 'header', sure: true, sentence };
  }
  const ranked = UNITS.map((unit) => ({ unit, score: plausibility(extent, unit) })).sort(
    (a, b) => b.score - a.score,
  );
  const best = ranked[0]!;
  const second = ranked[1]!;
  if (best.score === 0) {
    const sentence = `No unit makes this the size of teeth: taken as millimetres, ${across('mm')}. Please set the unit.`;
    return { unit: 'mm', basis: 'size', sure: false, sentence };
  }
  const sure = second.score === 0 || best.score - second.score >= SURE_LEAD;
  const guess = `Taken as ${UNIT_NAMES[best.unit]} from its size: ${across(best.unit)}`;
  const doubt = `${UNIT_NAMES[second.unit]} (${sizeText(extent, second.unit)}) would be possible too; please check`;
  const contradiction =
    named === null ? '' : ` The header names ${UNIT_NAMES[named]}, which its size rules out.`;
  return {
    unit: best.unit,
    basis: 'size',
    sure: sure && named === null,
    sentence: `${guess}${sure ? '' : `; ${doubt}`}.${contradiction}`,
  };
}
