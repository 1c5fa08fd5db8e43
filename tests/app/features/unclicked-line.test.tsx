import { cleanup } from '@solidjs/testing-library';
import { afterEach, expect, it } from 'vitest';
import { UnclickedLine } from '../../../src/app/features/contacts/UnclickedLine.tsx';
import type { ToothNumber } from '../../../src/teeth/types.ts';
import { makeAnalysis } from '../../helpers/make-analysis.ts';
import { renderWithApp } from './harness.tsx';

afterEach(cleanup);

/** What is said where `without` has neither clicks nor crowns and `missing` of it is said to be missing. */
function said(without: readonly ToothNumber[], missing: readonly ToothNumber[]): string {
  const analysis = { ...makeAnalysis({ missing: without }), missing };
  return renderWithApp(() => <UnclickedLine analysis={analysis} />).container.textContent ?? '';
}

it('names the tooth without a click, the pair across it, and what to do; nothing of a missing one', () => {
  expect(said([14, 25], [14])).toBe(
    '25 has no click and is not marked missing: 24-26 is taken across it, as over a missing tooth. Click it or mark it missing, under Teeth.',
  );
  expect(said([14, 25], [])).toContain(
    '14 and 25 have no click and are not marked missing: 15-13 and 24-26 are taken across them, as over missing teeth.',
  );
  expect(said([14], [14])).toBe('');
});
