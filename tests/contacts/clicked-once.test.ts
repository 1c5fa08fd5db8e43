import { expect, it } from 'vitest';
import { clickedOnceWarnings } from '../../src/contacts/clicked-once.ts';
import type { ArchAlignment } from '../../src/teeth/align-arch.ts';
import type { ToothNumber } from '../../src/teeth/types.ts';
import { makeAnalysis } from '../helpers/make-analysis.ts';

const arch = (without: readonly ToothNumber[], missing: readonly ToothNumber[] = []) => ({
  ...makeAnalysis({ missing: without }),
  missing,
});

it('names the teeth that only one of two scans has a click for, and what that means', () => {
  expect(clickedOnceWarnings(arch([25]), arch([13, 14]), null)).toEqual([
    {
      code: 'CLICKED_ON_EARLIER_ONLY',
      sentence:
        'Teeth 14, 13 are clicked on the earlier scan and neither clicked nor marked missing on the new one, so their contacts are not compared; click them on the new scan, or mark them missing.',
      teeth: [14, 13],
    },
    {
      code: 'CLICKED_ON_NEW_ONLY',
      sentence:
        'Tooth 25 is clicked on the new scan and neither clicked nor marked missing on the earlier one, so their contacts have none to be compared with; measure the earlier scan again with them, or leave it at that.',
      teeth: [25],
    },
  ]);
});

it('says nothing of a tooth that is marked missing on the other scan, nor where both have the same', () => {
  expect(clickedOnceWarnings(arch([]), arch([25], [25]), null)).toEqual([]);
  expect(clickedOnceWarnings(arch([14]), arch([14]), null)).toEqual([]);
});

it('leaves a tooth whose crown was not found to the word about that', () => {
  const alignment = {
    teeth: [{ tooth: 25, sighting: 'not-seen' }],
  } as unknown as ArchAlignment;
  expect(clickedOnceWarnings(arch([]), arch([25]), alignment)).toEqual([]);
});
