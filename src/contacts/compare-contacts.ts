import type { ArchAlignment } from '../teeth/align-arch.ts';
import { archOrder, toothSortIndex } from '../teeth/notation.ts';
import type { Jaw, ToothNumber } from '../teeth/types.ts';
import { withLimit } from './decide.ts';
import { toothApproach } from './tooth-approach.ts';
import type { Analysis, Contact, Difference, GapEstimate, ScannerProfile } from './types.ts';

/**
 * What became of a contact. `closed`: was open, now surely below the limit; `to-check`: was open, and the scan can't
 * say whether it is closed (bridged over, or too near the limit); `partly-closed`, `not-closed`, `wider`: was open and
 * still is; `newly-open`: was not known to be open, now is; `narrower`: not open, but surely narrower; `unchanged`: not
 * open and no change that could be seen; `not-comparable`: one of the scans says nothing.
 */
export type ChangeClass =
  | 'closed'
  | 'to-check'
  | 'partly-closed'
  | 'not-closed'
  | 'wider'
  | 'newly-open'
  | 'narrower'
  | 'unchanged'
  | 'not-comparable';

/**
 * Where the space stands against the plan. `as-planned`: nothing to tell them apart; `short-of-plan`: more space is
 * left than planned; `beyond-plan`: less; `possible`: hidden, but the planned space could be there.
 */
export type PlanStanding = 'as-planned' | 'short-of-plan' | 'beyond-plan' | 'possible';

/** A space that the plan of the earlier scan expected. */
export interface PlannedSpace {
  readonly toothA: ToothNumber;
  readonly toothB: ToothNumber;
  /** What the planner counted from, measured or by floss, mm; null where it had nothing: then no space was planned. */
  readonly countedMm: number | null;
  readonly afterMm: number;
}

interface PlanComparison {
  readonly afterMm: number;
  readonly standing: PlanStanding | null;
  /** Share of the planned closure that is seen, 1 = all of it; null where the plan asks for less than can be seen. */
  readonly expressed: { readonly share: number; readonly u95: number } | null;
}

/**
 * `may-have-been-hidden`: newly open, but as much could have lain where the earlier scan did not show the walls; `walls-changed`: the space changed
 * by another amount than the crowns moved, so that enamel was taken off, something was built up, or a wall was scanned
 * wrongly.
 */
export type ChangeNote = 'may-have-been-hidden' | 'walls-changed';

/** One contact of two scans. */
export interface ContactChange {
  readonly toothA: ToothNumber;
  readonly toothB: ToothNumber;
  /** Null where that scan has no such pair of neighbours. */
  readonly before: Contact | null;
  readonly after: Contact | null;
  readonly change: Difference | null;
  /** Least and greatest change that the two scans allow, mm; null where one says nothing. */
  readonly rangeMm: readonly [number, number] | null;
  readonly kind: ChangeClass;
  /** How the two crowns moved against each other ({@link toothApproach}); null without an alignment of both. */
  readonly approach: Difference | null;
  /**
   * Where only one of the scans shows the walls: the space of the other scan by those walls and the approach. Holds
   * for crowns whose walls were neither ground nor filled between the scans.
   */
  readonly carried: { readonly scan: 'earlier' | 'new'; readonly space: Difference } | null;
  readonly notes: readonly ChangeNote[];
  readonly plan: PlanComparison | null;
}

/**
 * The change of every contact from an earlier measurement to a new one, by tooth numbers; both are decided with the
 * limit of the new one.
 *
 * A change is called one only beyond its uncertainty, U = sqrt(U1^2 + U2^2) (JCGM 100:2008, 5.1.2, independent
 * inputs). Where both scans state the same calibrated scanner, its systematic and scale terms are the same unknown in
 * both and enter with the difference of their sizes (5.2.2, correlation 1); without that statement, or where the scanner
 * of either scan was only taken over from an earlier one, they are taken as independent, which is the larger.
 *
 * @param planned - from the plan of the earlier scan; empty when there is none
 * @param alignment - of the earlier scan on the new one; null: crowns' motions are left out
 * @param scannerIsStated - the scanner of the new scan was said, not taken over from the earlier scan
 */
export function compareContacts(
  earlier: Analysis,
  later: Analysis,
  planned: readonly PlannedSpace[],
  alignment: ArchAlignment | null,
  scannerIsStated: boolean,
): ContactChange[] {
  const before = withLimit(earlier, later.settings.limitMm);
  const scanners = [before.settings.scanner, later.settings.scanner] as const;
  const takenOver = [before, later].some(({ settings }) => settings.scannerTakenOver === true);
  const sameScanner = scannerIsStated && !takenOver && isSameScanner(...scanners);
  return pairsOf(later.jaw, before.contacts, later.contacts).map(([toothA, toothB]) => {
    const one = contactOf(before.contacts, toothA, toothB);
    const two = contactOf(later.contacts, toothA, toothB);
    const approach = alignment && toothApproach(one, two, alignment, scanners);
    const change = one?.gap && two?.gap ? difference(one.gap, two.gap, sameScanner) : null;
    const rangeMm = change ? rangeOf(change) : rangeBetween(one, two);
    const plan = contactOf(planned, toothA, toothB);
    const kind = classify(one, two, rangeMm, approach);
    return {
      toothA,
      toothB,
      before: one,
      after: two,
      change,
      rangeMm,
      approach,
      carried: approach && carriedSpace(one, two, approach),
      kind,
      notes: notesOf(kind, one, two, change, approach),
      plan: plan && againstPlan(plan, one, two, change),
    };
  });
}

function rangeOf({ valueMm, u95Mm }: Difference): readonly [number, number] {
  return [valueMm - u95Mm, valueMm + u95Mm];
}

/** The space of the scan that does not show it, by the walls of the scan that does. */
function carriedSpace(
  before: Contact | null,
  after: Contact | null,
  approach: Difference,
): ContactChange['carried'] {
  if (before === null || after === null) return null;
  const known = before.gap ?? after.gap;
  if (known === null || (before.gap !== null && after.gap !== null)) return null;
  const isNew = before.gap !== null;
  const valueMm = known.valueMm + (isNew ? approach.valueMm : -approach.valueMm);
  return {
    scan: isNew ? 'new' : 'earlier',
    space: { valueMm, u95Mm: Math.hypot(known.u95Mm, approach.u95Mm) },
  };
}

function notesOf(
  kind: ChangeClass,
  before: Contact | null,
  after: Contact | null,
  change: Difference | null,
  approach: Difference | null,
): ChangeNote[] {
  const notes: ChangeNote[] = [];
  const wentApart = approach !== null && rangeOf(approach)[0] > 0;
  if (kind === 'newly-open' && !wentApart && before?.gap === null && couldHaveHidden(before, after)) {
    notes.push('may-have-been-hidden');
  }
  if (change !== null && approach !== null) {
    const apart = Math.abs(change.valueMm - approach.valueMm);
    if (apart > Math.hypot(change.u95Mm, approach.u95Mm)) notes.push('walls-changed');
  }
  return notes;
}

function isSameScanner(a: ScannerProfile | undefined, b: ScannerProfile | undefined): boolean {
  if (a === undefined || b === undefined) return false;
  return (
    a.name === b.name &&
    a.systematicHalfWidthMm === b.systematicHalfWidthMm &&
    a.systematicBelowMm === b.systematicBelowMm &&
    a.scaleShare === b.scaleShare
  );
}

/** Pairs of either scan in arch order; a pair with a tooth between that only one scan shows is a pair of its own. */
function pairsOf(
  jaw: Jaw,
  ...lists: readonly (readonly Contact[])[]
): (readonly [ToothNumber, ToothNumber])[] {
  const width = archOrder(jaw).length;
  const pairs = new Map<number, readonly [ToothNumber, ToothNumber]>();
  for (const { toothA, toothB } of lists.flat()) {
    pairs.set(toothSortIndex(toothA) * width + toothSortIndex(toothB), [toothA, toothB]);
  }
  return [...pairs].sort(([a], [b]) => a - b).map(([, pair]) => pair);
}

function contactOf<T extends { readonly toothA: ToothNumber; readonly toothB: ToothNumber }>(
  contacts: readonly T[],
  toothA: ToothNumber,
  toothB: ToothNumber,
): T | null {
  return contacts.find((contact) => contact.toothA === toothA && contact.toothB === toothB) ?? null;
}

/** Terms that are one and the same unknown in two scans by one scanner ... */
const SHARED_BY_SCANNER = ['systematic', 'scale'];
/** ... and in any two scans: what the gum hides of a contact, which moves with its teeth. */
const SHARED_ALWAYS = ['gum'];

/** Uncertainties in squares, but what both have as the same unknown counts only by how much it differs. */
function difference(before: GapEstimate, after: GapEstimate, sameScanner: boolean): Difference {
  const standard = (gap: GapEstimate, name: string): number =>
    gap.terms.find((term) => term.name === name)?.standardMm ?? 0;
  let variance = (before.u95Mm ** 2 + after.u95Mm ** 2) / 4;
  // (a - b)^2 in place of a^2 + b^2.
  for (const name of sameScanner ? [...SHARED_ALWAYS, ...SHARED_BY_SCANNER] : SHARED_ALWAYS)
    variance -= 2 * standard(before, name) * standard(after, name);
  return { valueMm: after.valueMm - before.valueMm, u95Mm: 2 * Math.sqrt(Math.max(0, variance)) };
}

/** Smallest and largest space that a contact allows, mm; null where it says nothing. */
function spaceRange(contact: Contact | null): readonly [number, number] | null {
  if (contact === null) return null;
  const { gap, upperBoundMm } = contact;
  if (gap) return [gap.valueMm - gap.u95Mm, gap.valueMm + gap.u95Mm];
  return upperBoundMm === null ? null : [0, upperBoundMm];
}

function rangeBetween(before: Contact | null, after: Contact | null): readonly [number, number] | null {
  const one = spaceRange(before);
  const two = spaceRange(after);
  return one && two ? [two[0] - one[1], two[1] - one[0]] : null;
}

function classify(
  before: Contact | null,
  after: Contact | null,
  range: readonly [number, number] | null,
  approach: Difference | null,
): ChangeClass {
  if (before === null || after === null) return 'not-comparable';
  if (after.status === 'open' && before.status !== 'open') {
    return spaceRange(before) === null && before.status !== 'bridged' ? 'not-comparable' : 'newly-open';
  }
  const bothBridged = before.status === 'bridged' && after.status === 'bridged';
  if (range === null && !bothBridged) return 'not-comparable';
  // A web hides what changed; the crowns' motions do not. Walls that both scans show speak for themselves.
  const hidden = before.gap === null || after.gap === null;
  const seen = range !== null && (range[1] < 0 || range[0] > 0) ? range : null;
  const moved = seen ?? (hidden && before.status !== 'open' && approach ? rangeOf(approach) : range);
  const narrower = moved !== null && moved[1] < 0;
  const wider = moved !== null && moved[0] > 0;
  if (before.status !== 'open') return narrower ? 'narrower' : wider ? 'wider' : 'unchanged';
  switch (after.status) {
    case 'closed':
    case 'overlap':
      return 'closed';
    case 'open':
      return narrower ? 'partly-closed' : wider ? 'wider' : 'not-closed';
    default:
      return 'to-check';
  }
}

function couldHaveHidden(before: Contact | null, after: Contact | null): boolean {
  const [one, two] = [spaceRange(before), spaceRange(after)];
  return one === null || (two !== null && one[1] >= two[0]);
}

/** Plans that ask for less than this many times the uncertainty of a change tell no share. */
const LEAST_PLANNED_U = 1;

function againstPlan(
  planned: PlannedSpace,
  before: Contact | null,
  after: Contact | null,
  change: Difference | null,
): PlanComparison | null {
  // Below zero is pressure that was asked for, not a space: crowns that touch are all that a scan can show of it.
  const afterMm = Math.max(0, planned.afterMm);
  // Where the planner had nothing to count from its result is an opening, not a space.
  if (planned.countedMm === null || after === null) return null;
  // The plan starts from the earlier measurement and carries its uncertainty.
  const u = before?.gap?.u95Mm ?? 0;
  const asked = planned.countedMm - afterMm;
  const expressed =
    change !== null && asked > LEAST_PLANNED_U * change.u95Mm
      ? { share: -change.valueMm / asked, u95: change.u95Mm / asked }
      : null;
  if (after.gap) {
    // Where floss overruled what the scan measured, the same scan of the same contact still shows its own number.
    const overruledMm = before?.gap ? before.gap.valueMm - planned.countedMm : 0;
    const miss = after.gap.valueMm - Math.max(0, planned.afterMm + overruledMm);
    const most = Math.hypot(u, after.gap.u95Mm);
    const standing = miss > most ? 'short-of-plan' : miss < -most ? 'beyond-plan' : 'as-planned';
    return { afterMm, standing, expressed };
  }
  const range = spaceRange(after);
  if (range === null) return { afterMm, standing: null, expressed };
  return { afterMm, standing: range[1] < afterMm - u ? 'beyond-plan' : 'possible', expressed };
}
