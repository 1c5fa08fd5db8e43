import { describe, expect, it } from 'vitest';
import { compareContacts } from '../../src/contacts/compare-contacts.ts';
import {
  changesHeadline,
  changeWords,
  describeChange,
  standingWords,
} from '../../src/report/change-words.ts';
import { makeAnalysis } from '../helpers/make-analysis.ts';

const before = makeAnalysis({
  contacts: {
    '13-12': { status: 'open', gapMm: 0.3, u95Mm: 0.03 },
    '11-21': { status: 'open', gapMm: 0.5, u95Mm: 0.03 },
    '23-24': { status: 'bridged', upperBoundMm: 0.4 },
  },
});
const after = makeAnalysis({
  contacts: {
    '13-12': { status: 'closed', gapMm: 0.02, u95Mm: 0.03 },
    '11-21': { status: 'open', gapMm: 0.3, u95Mm: 0.04 },
    '23-24': { status: 'open', gapMm: 0.3, u95Mm: 0.03 },
  },
});
const planned = [{ toothA: 13, toothB: 12, countedMm: 0.3, afterMm: 0.03 }];
const changes = compareContacts(before, after, planned, null, true);
/** All were open; the new scan shows none of them closed. */
const unsettled = compareContacts(
  makeAnalysis({
    contacts: {
      '13-12': { status: 'open', gapMm: 0.23, u95Mm: 0.03 },
      '11-21': { status: 'open', gapMm: 0.35, u95Mm: 0.03 },
      '23-24': { status: 'open', gapMm: 0.3, u95Mm: 0.03 },
    },
  }),
  makeAnalysis({
    contacts: {
      '13-12': { status: 'bridged', upperBoundMm: 0.24 },
      '11-21': { status: 'undecided', gapMm: 0.1, u95Mm: 0.04 },
      '23-24': { status: 'bridged', upperBoundMm: 0.3 },
    },
  }),
  [
    { toothA: 13, toothB: 12, countedMm: 0.23, afterMm: 0 },
    { toothA: 11, toothB: 21, countedMm: 0.35, afterMm: 0 },
  ],
  null,
  true,
);
const of = (tooth: number) => changes.find(({ toothA }) => toothA === tooth)!;

describe('changesHeadline', () => {
  it('says in one sentence what became of the contacts that were open, and what opened', () => {
    expect(changesHeadline(changes, 'iso')).toBe(
      '2 contacts open before: 13-12 closed; 11-21 partly closed; 23-24 newly open.',
    );
    const same = compareContacts(makeAnalysis({}), makeAnalysis({}), [], null, true);
    expect(changesHeadline(same, 'iso')).toBe('No contact was open before; no change was seen.');
  });

  it('names contacts that the new scan does not settle by their own word, each word once', () => {
    expect(changesHeadline(unsettled, 'iso')).toBe(
      '3 contacts open before: 13-12 and 23-24 bridged now, check with floss; 11-21 undecided now, check with floss.',
    );
  });
});

describe('changeWords', () => {
  it('is one word for what became of a contact, that of the new scan where it settles nothing', () => {
    expect([of(13), of(11), of(23)].map(changeWords)).toEqual(['closed', 'partly closed', 'newly open']);
    const words = unsettled.filter(({ kind }) => kind === 'to-check').map(changeWords);
    expect(words).toEqual([
      'bridged now, check with floss',
      'undecided now, check with floss',
      'bridged now, check with floss',
    ]);
  });
});

describe('standingWords', () => {
  it('is said apart from what became of the contact, and only where a plan speaks of it', () => {
    expect([of(13), of(11)].map(standingWords)).toEqual(['as planned', null]);
    expect(unsettled.filter(({ plan }) => plan !== null).map(standingWords)).toEqual([
      'could be as planned',
      'short of the plan',
    ]);
  });
});

describe('describeChange', () => {
  it('gives both states, the change with its interval, and what to mind', () => {
    expect(describeChange(of(11), 'iso')).toBe(
      '11-21 partly closed, open 0.50 ± 0.03 mm before, open 0.30 ± 0.04 mm now, change −0.20 ± 0.05 mm',
    );
    expect(describeChange(of(13), 'iso')).toMatch(/^13-12 closed, as planned, open 0\.30/);
    expect(describeChange(of(23), 'iso')).toContain(
      'may have been as wide before: the earlier scan did not show the walls there',
    );
  });

  it('calls no tooth missing that was only not clicked', () => {
    const site = makeAnalysis({
      missing: [25],
      contacts: { '24-26': { status: 'missing-tooth', notes: ['not-clicked'] } },
    });
    const change = compareContacts(site, makeAnalysis({ missing: [25] }), [], null, true).find(
      ({ toothA }) => toothA === 24,
    )!;
    expect(describeChange(change, 'iso')).toContain(
      'not clicked no number before, missing tooth no tooth between now',
    );
  });
});
