import type { Contact } from '../../src/contacts/types.ts';
import type { ToothNumber } from '../../src/teeth/types.ts';
import { quantile, worst } from './statistics.ts';
import { type TrueSpace, trueSpaceOf } from './true-spaces.ts';

/** What the scan was taken to show at a contact. */
export type Seen = 'measured' | 'bridged' | 'no number';

export function seenAt(contact: Contact): Seen {
  if (contact.gap !== null) return 'measured';
  return contact.bridge === 'none' ? 'no number' : 'bridged';
}

/** One contact measured with true labels and with the labels that were found. */
export interface SpaceChange {
  readonly toothA: ToothNumber;
  readonly toothB: ToothNumber;
  readonly withTrueLabels: Seen;
  readonly withOwnLabels: Seen;
  readonly trueLabelsGapMm: number | null;
  readonly ownLabelsGapMm: number | null;
  /** What is known of the space itself; null when nobody knows it. */
  readonly truth: TrueSpace['state'] | null;
}

/**
 * Pairs up the contacts of both; a contact that only one has counts as `no number` in the other.
 * @param spaces - the true spaces; null when nobody knows them
 */
export function spaceChanges(
  withTrue: readonly Contact[],
  withOwn: readonly Contact[],
  spaces: readonly TrueSpace[] | null = null,
): SpaceChange[] {
  const key = (contact: Contact): string => `${contact.toothA}-${contact.toothB}`;
  const own = new Map(withOwn.map((contact) => [key(contact), contact]));
  const changeOf = (pair: Contact, ideal: Contact | undefined, found: Contact | undefined): SpaceChange => ({
    toothA: pair.toothA,
    toothB: pair.toothB,
    withTrueLabels: ideal ? seenAt(ideal) : 'no number',
    withOwnLabels: found ? seenAt(found) : 'no number',
    trueLabelsGapMm: ideal?.gap?.valueMm ?? null,
    ownLabelsGapMm: found?.gap?.valueMm ?? null,
    truth: (spaces && trueSpaceOf(spaces, pair.toothA, pair.toothB)?.state) ?? null,
  });
  const changes = withTrue.map((contact) => changeOf(contact, contact, own.get(key(contact))));
  const known = new Set(withTrue.map(key));
  const added = withOwn
    .filter((contact) => !known.has(key(contact)))
    .map((contact) => changeOf(contact, undefined, contact));
  return [...changes, ...added];
}

/**
 * Whether the labels turned a contact: an open one that they call bridged, or a hidden one that they give a number. A
 * web beside a free place may be told either way. Where nobody knows the space, what the true labels show stands for it.
 */
function isTurned({ truth, withTrueLabels, withOwnLabels }: SpaceChange): boolean {
  if (withOwnLabels === 'no number' || truth === 'partly bridged') return false;
  if (truth !== null) return withOwnLabels !== (truth === 'open' ? 'measured' : 'bridged');
  return withTrueLabels !== 'no number' && withTrueLabels !== withOwnLabels;
}

export interface SpaceEffect {
  /** Contacts with a number under both labels. */
  readonly compared: number;
  /** Of |own - true labels|, mm; null when nothing could be compared. */
  readonly medianMm: number | null;
  readonly worstMm: number | null;
  /** Open contacts turned bridged or the reverse: see `isTurned`. */
  readonly turned: readonly SpaceChange[];
  /** Other contacts that lost or won a number. */
  readonly lostOrWon: readonly SpaceChange[];
}

export function spaceEffect(changes: readonly SpaceChange[]): SpaceEffect {
  const differences = changes.flatMap(({ trueLabelsGapMm: a, ownLabelsGapMm: b }) =>
    a === null || b === null ? [] : [Math.abs(b - a)],
  );
  const turned = changes.filter(isTurned);
  const changed = changes.filter((change) => change.withTrueLabels !== change.withOwnLabels);
  return {
    compared: differences.length,
    medianMm: quantile(differences, 0.5),
    worstMm: worst(differences),
    turned,
    lostOrWon: changed.filter((change) => !turned.includes(change)),
  };
}
