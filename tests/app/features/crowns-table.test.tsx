import { cleanup } from '@solidjs/testing-library';
import { afterEach, expect, it } from 'vitest';
import { CrownsTable } from '../../../src/app/features/crowns/CrownsTable.tsx';
import { makeContact } from '../../helpers/make-analysis.ts';
import { renderWithApp } from './harness.tsx';

afterEach(cleanup);

const NOTHING = { overlapMm: 0, within20umMm2: 0, within50umMm2: 0 };

function wordsAt(nearestMm: number): string {
  const contact = {
    ...makeContact(11, 21, { status: 'closed', gapMm: nearestMm, u95Mm: 0.01 }),
    nearestMm,
    crownContact: { buccalMm: null, a: NOTHING, b: NOTHING },
  };
  renderWithApp(() => <CrownsTable contacts={[contact]} />);
  const words = document.querySelector('.crown-both')?.textContent ?? '';
  cleanup();
  return words;
}

it('says that nothing is near only where the space says so, too', () => {
  expect(wordsAt(0.06)).toContain('nothing within 0.05 mm of the other');
  // Edges of coarse triangles cross at 0.03 mm while no corner is as near: no area is found.
  expect(wordsAt(0.03)).not.toContain('nothing within');
  expect(wordsAt(0.03)).toContain('within 0.05 mm 0.00 | 0.00 mm²');
});
