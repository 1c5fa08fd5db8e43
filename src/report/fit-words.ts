import {
  FIT_NOTE_CODES,
  type FitNoteCode,
  type FitSide,
  type FitStatus,
  type FitTarget,
} from '../contacts/fit-types.ts';
import { formatTooth } from '../teeth/notation.ts';
import type { NumberingScheme } from '../teeth/types.ts';
import { noteWords } from './contact-words.ts';
import { formatMm, formatSignedMm, formatU95 } from './format-mm.ts';

export const FIT_WORDS: Readonly<Record<FitStatus, string>> = {
  'too-tight': 'too tight',
  'as-wanted': 'as wanted',
  open: 'open',
  undecided: 'cannot be told from the target',
  'no-neighbour': 'no neighbour',
  'not-measurable': 'not measurable',
};

const FIT_NOTE_WORDS: Readonly<Record<FitNoteCode, string>> = {
  'deeper-than-measured':
    'it runs deeper into the neighbour than a space can be measured; areas are left out',
  'beyond-missing': 'not the next tooth by number; the teeth between are absent',
  'not-clicked':
    'a tooth next to it by number has no click and is not marked missing; click it, or mark it missing',
  'high-spot': 'the space counts from a narrow place of the design that stands out of its wall',
  site: 'the next tooth stands beyond the site of an absent one',
};

/** A note of a fit in words; those of contacts are among them. */
export function fitNoteWords(code: string): string {
  const own = FIT_NOTE_CODES.find((known) => known === code);
  return own === undefined ? noteWords(code) : FIT_NOTE_WORDS[own];
}

/** The space of one side: `+0.12 ± 0.02 mm`, `overlap deeper than 0.90 mm`; null where nothing is known. */
export function fitSpaceWords({ space, deeperThanMm }: FitSide): string | null {
  if (space !== null) return `${formatSignedMm(space.valueMm)} ± ${formatU95(space.u95Mm)} mm`;
  return deeperThanMm === null ? null : `overlap deeper than ${formatMm(deeperThanMm)} mm`;
}

/** `0.00 to -0.03 mm`. */
export function targetWords({ wideMm, tightMm }: FitTarget): string {
  return `${formatMm(wideMm)} to ${formatMm(tightMm)} mm`;
}

/**
 * What to do on one side: `take off 0.17 mm, 2.1 mm below the occlusal plane, 0.4 mm towards the cheek`. Nothing is to be
 * added or taken off by an estimate that lies in the target, however far its interval reaches.
 */
export function fitAdvice(side: FitSide, { wideMm, tightMm }: FitTarget): string {
  const { status, space, addMm, deeperThanMm, heightMm, buccalMm } = side;
  if (status === 'too-tight' && deeperThanMm !== null) {
    const leastMm = deeperThanMm + (wideMm + tightMm) / 2;
    return `take off more than ${formatMm(leastMm)} mm to meet the middle of the target, or check that both files are in one frame`;
  }
  if (addMm === null || heightMm === null || buccalMm === null) return '';
  if (status === 'as-wanted') return 'leave it';
  if (status === 'undecided' && space && space.valueMm >= tightMm && space.valueMm <= wideMm) {
    return 'the estimate lies in the target, its uncertainty reaches beyond: check in the mouth';
  }
  const amount = `${formatMm(Math.abs(addMm))} mm`;
  const act = status === 'undecided' ? 'check in the mouth; by the estimate ' : '';
  const across =
    Math.abs(buccalMm) < 0.05
      ? 'in the middle'
      : `${formatMm(Math.abs(buccalMm))} mm towards the ${buccalMm > 0 ? 'cheek or lip' : 'tongue or palate'}`;
  return `${act}${addMm > 0 ? 'add' : 'take off'} ${amount} to meet the middle of the target, ${formatMm(heightMm)} mm below the occlusal plane, ${across} against the neighbour’s middle`;
}

/** One side in a line. */
export function describeFitSide(side: FitSide, target: FitTarget, numbering: NumberingScheme): string {
  const name = side.neighbour === null ? '' : ` against ${formatTooth(side.neighbour, numbering)}`;
  const known = fitSpaceWords(side);
  const space = known === null ? '' : `, ${known}`;
  const advice = fitAdvice(side, target);
  const notes = side.notes.map((note) => `; ${fitNoteWords(note)}`).join('');
  return `${side.side}${name}: ${FIT_WORDS[side.status]}${space}${advice === '' ? '' : `: ${advice}`}${notes}`;
}
