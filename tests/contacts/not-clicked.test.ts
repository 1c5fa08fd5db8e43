import { describe, expect, it } from 'vitest';
import { noteNotClicked, teethNotSaid } from '../../src/contacts/not-clicked.ts';
import { contactsRemainder } from '../../src/report/answer-words.ts';
import { describeContact } from '../../src/report/contact-words.ts';
import { makeAnalysis } from '../helpers/make-analysis.ts';

/** 25 is absent from the row; 14 is absent, and said to be missing. */
const said = makeAnalysis({ missing: [14, 25] });
const unsaid = { ...said, missing: [14] as const };

describe('teethNotSaid', () => {
  it('names the teeth between two neighbours that nobody said to be missing', () => {
    const site = { toothA: 24, toothB: 26 } as const;
    expect(teethNotSaid(said, site)).toEqual([]);
    expect(teethNotSaid(unsaid, site)).toEqual([25]);
    expect(teethNotSaid({ jaw: 'upper', missing: [25] }, { toothA: 24, toothB: 27 })).toEqual([26]);
    expect(teethNotSaid(unsaid, { toothA: 11, toothB: 21 })).toEqual([]);
  });
});

describe('noteNotClicked', () => {
  const contacts = noteNotClicked(unsaid.contacts, 'upper', unsaid.missing);
  const noted = contacts.filter(({ notes }) => notes.includes('not-clicked'));

  it('notes the site of a tooth that was not clicked, and no other', () => {
    expect(noted.map(({ toothA, toothB }) => [toothA, toothB])).toEqual([[24, 26]]);
    expect(noteNotClicked(said.contacts, 'upper', said.missing)).toEqual(said.contacts);
  });

  it('is told apart in words from a tooth that is missing', () => {
    const words = contactsRemainder({ ...unsaid, contacts }, 'iso');
    expect(words).toContain('15-13 is the site of a missing tooth, not a contact.');
    expect(words).toContain(
      '24-26 reaches over a tooth that has no click and is not marked missing: click it, or mark it missing.',
    );
    expect(describeContact(noted[0]!, 'iso')).toBe('24-26 not clicked, no number');
    const missing = contacts.find(({ toothA }) => toothA === 15)!;
    expect(describeContact(missing, 'iso')).toBe('15-13 missing tooth, no tooth between');
  });
});
