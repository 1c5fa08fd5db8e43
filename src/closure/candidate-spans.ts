import type { ArchModel, ArchTooth } from './arch-model.ts';

/** A run of neighbouring teeth, by index into the model's teeth; at least two teeth. */
export interface CandidateSpan {
  readonly first: number;
  readonly last: number;
  /** `both`: reaches to the same tooth on both sides of the midline; `right`, `left`: one side only. */
  readonly sides: 'both' | 'right' | 'left';
}

/** The canine: where the shortest span ends. */
const CANINE = 3;
const LAST_DIGIT = 8;

/**
 * The spans to try: from canine to canine outwards, one pair of teeth at a time, to the last tooth present on each
 * side. Where a side has run out of teeth its end stays at its last tooth while the other side goes on; where the
 * tooth of a step is missing the side ends at the next one towards the midline. When every space that asks for
 * closing lies on one side of the midline, the spans from the midline to the canine and outwards on that side too.
 *
 * @param asking - indices of the contacts that ask for closing
 */
export function candidateSpans(model: ArchModel, asking: readonly number[]): CandidateSpan[] {
  const spans: CandidateSpan[] = [];
  for (let digit = CANINE; digit <= LAST_DIGIT; digit += 1) addSpan(spans, model.teeth, digit, 'both');
  const side = onlySide(model, asking);
  if (side !== null) {
    for (let digit = CANINE; digit <= LAST_DIGIT; digit += 1) addSpan(spans, model.teeth, digit, side);
  }
  return spans;
}

/**
 * Adds the span of all teeth up to a digit, unless it is there or is none; teeth in arch order make the run between the
 * first and the last of them contiguous.
 */
function addSpan(
  spans: CandidateSpan[],
  teeth: readonly ArchTooth[],
  digit: number,
  sides: CandidateSpan['sides'],
): void {
  let first = -1;
  let last = -1;
  for (const [i, tooth] of teeth.entries()) {
    if (tooth.digit > digit || (sides !== 'both' && tooth.side !== sides)) continue;
    if (first < 0) first = i;
    last = i;
  }
  if (first < 0 || last <= first) return;
  for (const span of spans) if (span.first === first && span.last === last) return;
  spans.push({ first, last, sides });
}

/** The side on which every space that asks for closing lies; a space across the midline lies on both. */
function onlySide(model: ArchModel, asking: readonly number[]): 'right' | 'left' | null {
  if (asking.length === 0 || asking.some((k) => k === model.midlineContact)) return null;
  const sides = new Set(asking.map((k) => model.teeth[k]!.side));
  return sides.size === 1 ? [...sides][0]! : null;
}
