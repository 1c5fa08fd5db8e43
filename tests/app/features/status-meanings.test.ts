import { expect, it } from 'vitest';
import { statusMeanings } from '../../../src/app/features/contacts/status-meanings.ts';
import { type AnalysisSpec, makeAnalysis } from '../../helpers/make-analysis.ts';

const site = { status: 'missing-tooth' } as const;
const wordsOf = (contacts: NonNullable<AnalysisSpec['contacts']>): readonly string[] =>
  statusMeanings(makeAnalysis({ missing: [14, 25], contacts }).contacts).map(([word]) => word);

it('explains the words that the table holds, and calls no tooth missing that was only not clicked', () => {
  const unsaid = { ...site, notes: ['not-clicked'] as const };
  expect(wordsOf({ '15-13': unsaid, '24-26': unsaid })).not.toContain('missing tooth');
  expect(wordsOf({ '15-13': unsaid, '24-26': unsaid })).toContain('not clicked');
  expect(wordsOf({ '15-13': site, '24-26': site })).toContain('missing tooth');
  expect(wordsOf({ '15-13': site, '24-26': site })).not.toContain('not clicked');
  expect(wordsOf({ '15-13': site, '24-26': unsaid }).slice(-2)).toEqual(['missing tooth', 'not clicked']);
});
