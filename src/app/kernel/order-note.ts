import type { EditedNote } from '../../casefile/types.ts';
import type { Practice } from '../../closure/practice.ts';
import type { ClosurePlan } from '../../closure/types.ts';
import type { Analysis } from '../../contacts/types.ts';
import { writeClosureNote } from '../../report/closure-note.ts';
import type { NumberingScheme } from '../../teeth/types.ts';

/** The text for the order. */
export interface OrderNote {
  readonly text: string;
  /** As the plan writes it, with the words of the practice. */
  readonly written: string;
  readonly isEdited: boolean;
  /** Edited when the plan still wrote something else. */
  readonly isOld: boolean;
}

interface NoteSources {
  readonly practice: Practice | null;
  readonly edited: EditedNote | null;
  /** By what the scan is told from the others of its case. */
  readonly scanName: string | undefined;
}

export function noteOf(
  plan: ClosurePlan,
  analysis: Analysis,
  numbering: NumberingScheme,
  { practice, edited, scanName }: NoteSources,
): OrderNote {
  const written = writeClosureNote(plan, analysis, numbering, {
    before: practice?.noteBefore ?? '',
    after: practice?.noteAfter ?? '',
    ...(scanName === undefined ? {} : { scanName }),
  });
  return {
    text: edited?.text ?? written,
    written,
    isEdited: edited !== null,
    isOld: edited !== null && edited.basis !== written,
  };
}
