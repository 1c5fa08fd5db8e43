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
  const put = (first: number, last: number, sides: CandidateSpan['sides']): void => {
    if (first < 0 || last <= first) return;
    if (!spans.some((span) => span.first === first && span.last === last)) spans.push({ first, last, sides });
  };
  for (let digit = CANINE; digit <= LAST_DIGIT; digit += 1) {
    put(...endsOf(model.teeth, (tooth) => tooth.digit <= digit), 'both');
  }
  const side = onlySide(model, asking);
  if (side !== null) {
    for (let digit = CANINE; digit <= LAST_DIGIT; digit += 1) {
      put(...endsOf(model.teeth, (tooth) => tooth.side === side && tooth.digit <= digit), side);
    }
  }
  return spans;
}

/** First and last tooth that belong; teeth in arch order make the run between them contiguous. */
function endsOf(teeth: readonly ArchTooth[], belongs: (tooth: ArchTooth) => boolean): [number, number] {
  return [teeth.findIndex(belongs), teeth.findLastIndex(belongs)];
}

/** The side on which every space that asks for closing lies; a space across the midline lies on both. */
function onlySide(model: ArchModel, asking: readonly number[]): 'right' | 'left' | null {
  if (asking.length === 0 || asking.some((k) => k === model.midlineContact)) return null;
  const sides = new Set(asking.map((k) => model.teeth[k]!.side));
  return sides.size === 1 ? [...sides][0]! : null;
}
