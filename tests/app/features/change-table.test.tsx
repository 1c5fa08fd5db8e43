import { cleanup } from '@solidjs/testing-library';
import { afterEach, expect, it } from 'vitest';
import { ChangeTable } from '../../../src/app/features/follow-up/ChangeTable.tsx';
import { compareContacts } from '../../../src/contacts/compare-contacts.ts';
import { makeAnalysis } from '../../helpers/make-analysis.ts';
import { renderWithApp } from './harness.tsx';

afterEach(cleanup);

const before = makeAnalysis({
  contacts: {
    '13-12': { status: 'open', gapMm: 0.23, u95Mm: 0.03 },
    '11-21': { status: 'open', gapMm: 0.35, u95Mm: 0.03 },
  },
});
const after = makeAnalysis({
  contacts: {
    '13-12': { status: 'bridged', upperBoundMm: 0.24 },
    '11-21': { status: 'undecided', gapMm: 0.1, u95Mm: 0.04 },
  },
});
const planned = [
  { toothA: 13, toothB: 12, countedMm: 0.23, afterMm: 0 },
  { toothA: 11, toothB: 21, countedMm: 0.35, afterMm: 0 },
] as const;

it('says one word for what became of a contact, and what stands behind it in pieces of its own', () => {
  const changes = compareContacts(before, after, planned, null, true);
  const { container } = renderWithApp(() => <ChangeTable changes={changes} />);
  const said = (key: string) => {
    const cell = container.querySelector(`tbody[data-change="${key}"] .became td`)!;
    return [...cell.children].map(({ tagName, textContent }) => `${tagName} ${textContent}`);
  };
  expect(said('13-12')).toEqual([
    'B bridged now, check with floss',
    'SPAN could be as planned (0.00\u00a0mm)',
  ]);
  expect(said('11-21')).toEqual([
    'B undecided now, check with floss',
    'SPAN short of the plan (0.00\u00a0mm), 71\u00a0±\u00a014\u00a0% of the closure seen',
  ]);
});

it('calls no tooth missing that was only not clicked', () => {
  const site = makeAnalysis({
    missing: [25],
    contacts: { '24-26': { status: 'missing-tooth', notes: ['not-clicked'] } },
  });
  const changes = compareContacts(site, makeAnalysis({ missing: [25] }), [], null, true);
  const { container } = renderWithApp(() => <ChangeTable changes={changes} />);
  const numbers = container.querySelectorAll('tbody[data-change="24-26"] .number');
  expect([...numbers].map(({ textContent }) => textContent).slice(0, 2)).toEqual([
    'not clicked',
    'missing tooth',
  ]);
});

it('says nothing of a contact of which no change was seen', () => {
  const changes = compareContacts(before, before, [], null, true).filter(({ kind }) => kind === 'unchanged');
  expect(changes.length).toBeGreaterThan(0);
  const { container } = renderWithApp(() => <ChangeTable changes={changes} />);
  expect(container.querySelectorAll('tbody[data-change]')).toHaveLength(changes.length);
  expect(container.querySelectorAll('.became')).toHaveLength(0);
});
