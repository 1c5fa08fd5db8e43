import { contactWithLimit } from '../../src/contacts/decide.ts';
import type { Contact } from '../../src/contacts/types.ts';
import { seenAt } from './space-change.ts';
import { mean, rootMeanSquare, shareOf, worst } from './statistics.ts';
import { type TrueSpace, trueSpaceOf } from './true-spaces.ts';

/** Limits at which decisions are checked, mm. */
export const LIMITS_MM = [0.05, 0.1, 0.2] as const;

/** A contact beside what is true of it. */
export interface JudgedContact {
  readonly place: string;
  readonly truth: TrueSpace;
  readonly contact: Contact;
  /** Closing clearance of the true crowns along the contact's own direction, mm; null when nobody knows it. */
  readonly trueClearanceMm: number | null;
}

/** Pairs without a truth (a missing tooth between them) are left out. */
export function judgeContacts(
  place: string,
  contacts: readonly Contact[],
  spaces: readonly TrueSpace[],
  trueClearance: (contact: Contact) => number | null,
): JudgedContact[] {
  return contacts.flatMap((contact) => {
    const truth = trueSpaceOf(spaces, contact.toothA, contact.toothB);
    return truth && contact.status !== 'missing-tooth'
      ? [{ place, truth, contact, trueClearanceMm: trueClearance(contact) }]
      : [];
  });
}

export interface WrongDecision {
  readonly judged: JudgedContact;
  readonly limitMm: number;
  readonly said: Contact['status'];
}

export interface SpacesFigures {
  /** Contacts whose closest place is free (`open`, `partly bridged`), and how many of them got a number. */
  readonly free: number;
  readonly measured: number;
  /** Errors of all numbers, measured minus true, mm; null when there is none. */
  readonly biasMm: number | null;
  readonly rmsMm: number | null;
  readonly worstMm: number | null;
  /** Share of the numbers whose interval g - U to g + U holds the truth. */
  readonly covered: number | null;
  readonly medianUMm: number | null;
  /** By limit, in the order of {@link LIMITS_MM}. */
  readonly wrong: readonly WrongDecision[];
  readonly undecided: readonly number[];
  /** Hidden contacts (`closed`, `bridged`), and how many were called bridged. */
  readonly hidden: number;
  readonly hiddenBridged: number;
  /** Open contacts (no web) called bridged. */
  readonly openBridged: number;
  /** Contacts with an upper bound, and how many bounds hold. */
  readonly bounds: number;
  readonly boundsHeld: number;
  readonly clearances: number;
  readonly clearanceBiasMm: number | null;
  readonly clearanceRmsMm: number | null;
  readonly clearanceWorstMm: number | null;
}

/** Measured minus true, mm; null without a number. */
export function gapError({ contact, truth }: JudgedContact): number | null {
  return contact.gap === null ? null : contact.gap.valueMm - truth.gapMm;
}

/** A bound may not lie below the truth; where there is none it holds nothing. */
export function boundFails({ contact, truth }: JudgedContact): boolean {
  return contact.upperBoundMm !== null && contact.upperBoundMm < truth.gapMm;
}

/** `open` is wrong at or below the limit, `closed` (and `overlap`) above it. */
export function wrongDecisions(judged: JudgedContact): WrongDecision[] {
  return LIMITS_MM.flatMap((limitMm) => {
    const said = contactWithLimit(judged.contact, limitMm).status;
    const isOpen = judged.truth.gapMm > limitMm;
    const wrong = said === 'open' ? !isOpen : said === 'closed' || said === 'overlap' ? isOpen : false;
    return wrong ? [{ judged, limitMm, said }] : [];
  });
}

export function spacesFigures(all: readonly JudgedContact[]): SpacesFigures {
  const free = all.filter(({ truth }) => truth.state === 'open' || truth.state === 'partly bridged');
  const hidden = all.filter(({ truth }) => truth.state === 'closed' || truth.state === 'bridged');
  const numbers = all.filter(({ contact }) => contact.gap !== null);
  const errors = numbers.map((judged) => gapError(judged)!);
  const bounds = all.filter(({ contact }) => contact.upperBoundMm !== null);
  const clearance = all.flatMap(({ contact, trueClearanceMm }) =>
    contact.gap === null || contact.clearanceMm === null || trueClearanceMm === null
      ? []
      : [contact.clearanceMm - trueClearanceMm],
  );
  const halfWidths = numbers.map(({ contact }) => contact.gap!.u95Mm).sort((a, b) => a - b);
  return {
    free: free.length,
    measured: free.filter(({ contact }) => contact.gap !== null).length,
    biasMm: mean(errors),
    rmsMm: rootMeanSquare(errors),
    worstMm: worst(errors),
    covered: shareOf(numbers, (judged) => Math.abs(gapError(judged)!) <= judged.contact.gap!.u95Mm),
    medianUMm: halfWidths[halfWidths.length >> 1] ?? null,
    wrong: all.flatMap(wrongDecisions),
    undecided: LIMITS_MM.map(
      (limitMm) =>
        all.filter(({ contact }) => contactWithLimit(contact, limitMm).status === 'undecided').length,
    ),
    hidden: hidden.length,
    hiddenBridged: hidden.filter(({ contact }) => seenAt(contact) === 'bridged').length,
    openBridged: free.filter(({ truth, contact }) => truth.state === 'open' && seenAt(contact) === 'bridged')
      .length,
    bounds: bounds.length,
    boundsHeld: bounds.filter((judged) => !boundFails(judged)).length,
    clearances: clearance.length,
    clearanceBiasMm: mean(clearance),
    clearanceRmsMm: rootMeanSquare(clearance),
    clearanceWorstMm: worst(clearance),
  };
}
