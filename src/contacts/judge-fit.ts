import type { FitNoteCode, FitSide, FitStatus, FitTarget } from './fit-types.ts';
import type { Difference } from './types.ts';

const DEEPER: FitNoteCode = 'deeper-than-measured';
const UNCLICKED: FitNoteCode = 'not-clicked';

/** A measured side against another target: status and amount follow from what was measured. */
export function judgeFit(side: FitSide, target: FitTarget): FitSide {
  const { space, neighbour, deeperThanMm } = side;
  const notes = side.notes.filter((note) => note !== DEEPER);
  // A tooth without a click may stand there: nothing is known of that side.
  if (neighbour === null) {
    return { ...side, status: side.notes.includes(UNCLICKED) ? 'not-measurable' : 'no-neighbour' };
  }
  if (space !== null) {
    const addMm = space.valueMm - (target.wideMm + target.tightMm) / 2;
    return { ...side, status: statusOf(space, target), addMm };
  }
  // No number; yet walls that cross deeper than the target allows are too tight, however deep they do.
  if (deeperThanMm === null || -deeperThanMm >= target.tightMm) {
    return { ...side, status: 'not-measurable', notes };
  }
  return { ...side, status: 'too-tight', notes: [DEEPER, ...notes] };
}

function statusOf({ valueMm, u95Mm }: Difference, { wideMm, tightMm }: FitTarget): FitStatus {
  if (valueMm + u95Mm < tightMm) return 'too-tight';
  if (valueMm - u95Mm > wideMm) return 'open';
  return valueMm - u95Mm >= tightMm && valueMm + u95Mm <= wideMm ? 'as-wanted' : 'undecided';
}
