import { describe, expect, it } from 'vitest';
import { compareContacts } from '../../src/contacts/compare-contacts.ts';
import { changesHeadline, changeWords, describeChange } from '../../src/report/change-words.ts';
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
const of = (tooth: number) => changes.find(({ toothA }) => toothA === tooth)!;

describe('changesHeadline', () => {
  it('says in one sentence what became of the contacts that were open, and what opened', () => {
    expect(changesHeadline(changes, 'iso')).toBe(
      '2 contacts open before: 13-12 closed; 11-21 partly closed; 23-24 newly open.',
    );
    const same = compareContacts(makeAnalysis({}), makeAnalysis({}), [], null, true);
    expect(changesHeadline(same, 'iso')).toBe('No contact was open before; no change was seen.');
  });
});

describe('changeWords', () => {
  it('joins what became of a contact with the plan', () => {
    expect(changeWords(of(13))).toBe('closed as planned');
    expect(changeWords(of(11))).toBe('partly closed');
  });
});

describe('describeChange', () => {
  it('gives both states, the change with its interval, and what to mind', () => {
    expect(describeChange(of(11), 'iso')).toBe(
      '11-21 partly closed, open 0.50 ± 0.03 mm before, open 0.30 ± 0.04 mm now, change −0.20 ± 0.05 mm',
    );
    expect(describeChange(of(23), 'iso')).toContain(
      'may have been as wide before: the earlier scan did not show the walls there',
    );
  });
});
