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

const FIT_WORDS: Readonly<Record<FitStatus, string>> = {
  'too-tight': 'tighter than wanted',
  'as-wanted': 'as wanted',
  open: 'looser than wanted',
  undecided: 'cannot be told from the target',
  'no-neighbour': 'no neighbour',
  'not-measurable': 'not measurable',
};

/**
 * What a side is against its target: `tighter than wanted`. Too tight or open by itself it is called only where the space
 * says so: walls that press beyond the uncertainty, or stand apart beyond it.
 */
export function fitStatusWords({ status, space, deeperThanMm }: FitSide): string {
  if (status === 'too-tight' && (deeperThanMm !== null || (space && space.valueMm + space.u95Mm < 0))) {
    return 'too tight';
  }
  if (status === 'open' && space && space.valueMm - space.u95Mm > 0) return 'open';
  return FIT_WORDS[status];
}

const FIT_NOTE_WORDS: Readonly<Record<FitNoteCode, string>> = {
  'deeper-than-measured':
    'it runs deeper into the neighbour than a space can be measured; areas are left out',
  'beyond-missing': 'not the next tooth by number; the teeth between are absent',
  'not-clicked':
    'a tooth next to it by number has no click and is not marked missing; click it, or mark it missing',
  'high-spot': 'the space counts from a narrow place of the design that stands out of its wall',
  crossing: 'the surfaces of design and scan run through each other',
  site: 'the next tooth stands beyond the site of an absent one',
};

/** A note of a fit in words; those of contacts are among them. */
export function fitNoteWords(code: string): string {
  const own = FIT_NOTE_CODES.find((known) => known === code);
  return own === undefined ? noteWords(code) : FIT_NOTE_WORDS[own];
}

/**
 * The space of one side: `+0.12 ± 0.02 mm`, `overlap deeper than 0.90 mm`, `at most +0.10 mm`; null where nothing is
 * known.
 */
export function fitSpaceWords({ space, deeperThanMm, atMostMm }: FitSide): string | null {
  if (space !== null) return `${formatSignedMm(space.valueMm)} ± ${formatU95(space.u95Mm)} mm`;
  if (deeperThanMm !== null) return `overlap deeper than ${formatMm(deeperThanMm)} mm`;
  return atMostMm === null ? null : `at most ${formatSignedMm(atMostMm)} mm`;
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
  if (addMm === null || buccalMm === null) return '';
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
  // Too few teeth show no occlusal plane: a height would change with the teeth that were clicked.
  const below = heightMm === null ? '' : `${formatMm(heightMm)} mm below the occlusal plane, `;
  return `${act}${addMm > 0 ? 'add' : 'take off'} ${amount} to meet the middle of the target, ${below}${across} against the neighbour’s middle`;
}

/**
 * Where no space at all could be shown to be as wanted, as the interval is wider than the target: what would have to be
 * otherwise. Empty where it could, or where something else was found.
 */
export function fitReachWords({ status, space }: FitSide, { wideMm, tightMm }: FitTarget): string {
  if (status !== 'undecided' || space === null) return '';
  const neededMm = 2 * space.u95Mm;
  const targetMm = wideMm - tightMm;
  if (neededMm <= targetMm) return '';
  return `“as wanted” cannot be shown here: the target is ${formatMm(targetMm)} mm wide, the interval ${formatMm(Math.ceil(100 * neededMm) / 100)} mm; it takes a target at least that wide; terms of the scanner that were calibrated (archgap calibrate) may narrow the interval, but not by what gum or a web hides`;
}

/** One side in a line. */
export function describeFitSide(side: FitSide, target: FitTarget, numbering: NumberingScheme): string {
  const name = side.neighbour === null ? '' : ` against ${formatTooth(side.neighbour, numbering)}`;
  const known = fitSpaceWords(side);
  const space = known === null ? '' : `, ${known}`;
  const advice = fitAdvice(side, target);
  const notes = [fitReachWords(side, target), ...side.notes.map(fitNoteWords)]
    .filter((note) => note !== '')
    .map((note) => `; ${note}`)
    .join('');
  return `${side.side}${name}: ${fitStatusWords(side)}${space}${advice === '' ? '' : `: ${advice}`}${notes}`;
}
