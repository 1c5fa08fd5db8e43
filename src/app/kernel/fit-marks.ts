import type { FitSide, FitStatus, FitTarget } from '../../contacts/fit-types.ts';
import type { ContactStatus } from '../../contacts/types.ts';
import { describeFitSide } from '../../report/fit-words.ts';
import type { NumberingScheme, ToothNumber } from '../../teeth/types.ts';
import type { FitMark } from './display-types.ts';

/** A restoration is wanted closed; null where nothing was measured that could stand on the scan. */
const MARKED_AS: Readonly<Record<FitStatus, ContactStatus | null>> = {
  'too-tight': 'overlap',
  'as-wanted': 'closed',
  open: 'open',
  undecided: 'undecided',
  'no-neighbour': null,
  'not-measurable': null,
};

/** Where a restoration meets its neighbours, for the view; sides without a place have no mark. */
export function fitMarks(
  tooth: ToothNumber,
  sides: readonly FitSide[],
  target: FitTarget,
  numbering: NumberingScheme,
): readonly FitMark[] {
  return sides.flatMap((side) => {
    const status = MARKED_AS[side.status];
    if (status === null || side.point === null) return [];
    return [{ tooth, at: side.point, status, words: describeFitSide(side, target, numbering) }];
  });
}
