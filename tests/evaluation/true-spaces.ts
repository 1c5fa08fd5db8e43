import * as v from 'valibot';
import { inputError } from '../../src/geometry/archgap-error.ts';
import type { ToothNumber } from '../../src/teeth/types.ts';

/**
 * What is known of one contact: `open` (no web), `partly bridged` (a web beside a free closest place), `bridged` (a
 * web over the closest place although the teeth are apart), `closed` (the teeth touch).
 */
type TrueState = 'open' | 'partly bridged' | 'bridged' | 'closed';

export interface TrueSpace {
  readonly toothA: ToothNumber;
  readonly toothB: ToothNumber;
  /** Smallest distance of the unscanned crowns, negative = overlap, mm. */
  readonly gapMm: number;
  readonly state: TrueState;
}

const schema = v.object({
  pairs: v.array(
    v.object({
      a: v.number(),
      b: v.number(),
      true_gap_mm: v.number(),
      state: v.picklist(['open', 'partly bridged', 'partly-bridged', 'bridged', 'closed']),
    }),
  ),
});

/** Reads truth.json as ../shared/data describes it. @throws ArchgapError `TRUTH_INVALID` */
export function readTrueSpaces(text: string): TrueSpace[] {
  const result = v.safeParse(schema, JSON.parse(text));
  if (!result.success) {
    const issue = result.issues[0];
    throw inputError('TRUTH_INVALID', `truth.json is wrong at ${v.getDotPath(issue)}: ${issue.message}.`);
  }
  return result.output.pairs.map((pair) => ({
    toothA: pair.a,
    toothB: pair.b,
    gapMm: pair.true_gap_mm,
    state: pair.state === 'partly-bridged' ? 'partly bridged' : pair.state,
  }));
}

/** The truth of a pair, whichever tooth it names first. */
export function trueSpaceOf(
  spaces: readonly TrueSpace[],
  toothA: ToothNumber,
  toothB: ToothNumber,
): TrueSpace | undefined {
  return spaces.find(
    ({ toothA: a, toothB: b }) => (a === toothA && b === toothB) || (a === toothB && b === toothA),
  );
}
