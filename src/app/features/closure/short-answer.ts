import type { ClosurePlan } from '../../../closure/types.ts';
import { countWords, spanWords } from '../../../report/answer-words.ts';
import type { NumberingScheme } from '../../../teeth/types.ts';

/** The planner's answer for the folded section: `3 stages, 17 to 27`. */
export function shortAnswer({ answer, proposal }: ClosurePlan, numbering: NumberingScheme): string {
  const stages = proposal
    ? `${countWords(proposal.stages, 'stage')}, ${spanWords(proposal.from, proposal.to, numbering)}`
    : 'tightening';
  switch (answer) {
    case 'tighten':
      return stages;
    case 'not-enough':
      return `${stages}, not enough for all`;
    case 'none-needed':
      return 'no stages needed';
    case 'floss-first':
      return 'check with floss first';
    case 'new-plan':
      return 'a new plan is needed';
    case 'not-by-tightening':
      return 'not by tightening';
  }
}
