import type { Contact } from '../../src/contacts/types.ts';
import type { ToothNumber } from '../../src/teeth/types.ts';
import { quantile, worst } from './statistics.ts';

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
}

/** Pairs up the contacts of both; a contact that only one has counts as `no number` in the other. */
export function spaceChanges(withTrue: readonly Contact[], withOwn: readonly Contact[]): SpaceChange[] {
  const key = (contact: Contact): string => `${contact.toothA}-${contact.toothB}`;
  const own = new Map(withOwn.map((contact) => [key(contact), contact]));
  const changes = withTrue.map((contact) => changeOf(contact, contact, own.get(key(contact))));
  const known = new Set(withTrue.map(key));
  const added = withOwn
    .filter((contact) => !known.has(key(contact)))
    .map((contact) => changeOf(contact, undefined, contact));
  return [...changes, ...added];
}

function changeOf(pair: Contact, withTrue: Contact | undefined, withOwn: Contact | undefined): SpaceChange {
  return {
    toothA: pair.toothA,
    toothB: pair.toothB,
    withTrueLabels: withTrue ? seenAt(withTrue) : 'no number',
    withOwnLabels: withOwn ? seenAt(withOwn) : 'no number',
    trueLabelsGapMm: withTrue?.gap?.valueMm ?? null,
    ownLabelsGapMm: withOwn?.gap?.valueMm ?? null,
  };
}

export interface SpaceEffect {
  /** Contacts with a number under both labels. */
  readonly compared: number;
  /** Of |own - true labels|, mm; null when nothing could be compared. */
  readonly medianMm: number | null;
  readonly worstMm: number | null;
  /** Open contacts turned bridged or the reverse. */
  readonly turned: readonly SpaceChange[];
  /** Other contacts that lost or won a number. */
  readonly lostOrWon: readonly SpaceChange[];
}

export function spaceEffect(changes: readonly SpaceChange[]): SpaceEffect {
  const differences = changes.flatMap(({ trueLabelsGapMm: a, ownLabelsGapMm: b }) =>
    a === null || b === null ? [] : [Math.abs(b - a)],
  );
  const changed = changes.filter((change) => change.withTrueLabels !== change.withOwnLabels);
  const turned = changed.filter(
    (change) => change.withTrueLabels !== 'no number' && change.withOwnLabels !== 'no number',
  );
  return {
    compared: differences.length,
    medianMm: quantile(differences, 0.5),
    worstMm: worst(differences),
    turned,
    lostOrWon: changed.filter((change) => !turned.includes(change)),
  };
}
