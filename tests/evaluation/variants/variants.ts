import type { ToothNumber } from '../../../src/teeth/types.ts';
import type { LabelledCase } from '../labelled-case.ts';
import {
  fewClicksCase,
  holedCase,
  mirroredCase,
  noisyCase,
  quadrantCase,
  trimmedBaseCase,
  unclickedCase,
} from './case-edits.ts';
import { decimatedCase } from './decimated-case.ts';
import { firstClickSet } from './remade-case.ts';
import { takenOutCase } from './taken-out-case.ts';

/** A mouth changed in one way; the truth is carried along. */
export interface Variant {
  readonly name: string;
  /** The changed cases of a mouth; none where the change makes no sense for it. */
  readonly make: (labelled: LabelledCase) => Promise<readonly LabelledCase[]>;
}

const COMMON_TRIANGLES = 16_000;
const COARSE_TRIANGLES = 10_000;

/** Teeth at some places of the row of clicked ones, counted from the patient's right. */
function teethAt(labelled: LabelledCase, places: readonly number[]): ToothNumber[] {
  const teeth = clicked(labelled);
  return places.flatMap((place) => teeth[place] ?? []);
}

function clicked(labelled: LabelledCase): ToothNumber[] {
  return firstClickSet(labelled).clicks.flatMap(({ tooth }) => (tooth === 'gum' ? [] : tooth));
}

function decimated(triangles: number): Variant['make'] {
  return async (labelled) => [await decimatedCase(labelled, triangles)];
}

/** Sets of teeth, each taken out of the mouth on its own, then made as coarse as asked. */
function takenOut(sets: readonly (readonly number[])[], triangles: number, listed: boolean): Variant['make'] {
  return async (labelled) => {
    // A mouth that lacks teeth already is no place to take more.
    if (firstClickSet(labelled).missing.length > 0) return [];
    const cases: LabelledCase[] = [];
    for (const places of sets) {
      const teeth = teethAt(labelled, places);
      const changed = await decimatedCase(await takenOutCase(labelled, teeth, listed), triangles);
      cases.push({ ...changed, name: `${labelled.name} less ${teeth.join(' ')}` });
    }
    return cases;
  };
}

function clicksChanged(
  sets: readonly (readonly number[])[],
  change: typeof unclickedCase,
  word: string,
): Variant['make'] {
  return async (labelled) => {
    const coarse = await decimatedCase(labelled, COMMON_TRIANGLES);
    return sets.flatMap((places) => {
      const teeth = teethAt(labelled, places);
      if (teeth.length === 0) return [];
      return { ...change(coarse, teeth), name: `${labelled.name} ${word} ${teeth.join(' ')}` };
    });
  };
}

function edited(change: (labelled: LabelledCase) => Promise<LabelledCase>): Variant['make'] {
  return async (labelled) => [await change(await decimatedCase(labelled, COMMON_TRIANGLES))];
}

/** Every way a mouth is changed, in the order of the table. */
export const VARIANTS: readonly Variant[] = [
  { name: '60,000 triangles', make: decimated(60_000) },
  { name: '30,000 triangles', make: decimated(30_000) },
  { name: '16,000 triangles', make: decimated(COMMON_TRIANGLES) },
  { name: '10,000 triangles', make: decimated(COARSE_TRIANGLES) },
  { name: 'one tooth lost, 16,000', make: takenOut([[4], [1]], COMMON_TRIANGLES, true) },
  { name: 'one lost, not listed', make: takenOut([[9]], COMMON_TRIANGLES, false) },
  {
    name: 'two lost, 10,000',
    make: takenOut(
      [
        [3, 4],
        [2, 12],
      ],
      COARSE_TRIANGLES,
      true,
    ),
  },
  {
    name: 'three lost, 10,000',
    make: takenOut(
      [
        [1, 2, 10],
        [3, 9, 12],
      ],
      COARSE_TRIANGLES,
      true,
    ),
  },
  { name: 'two lost, not listed', make: takenOut([[2, 10]], COARSE_TRIANGLES, false) },
  {
    name: 'teeth not clicked',
    make: clicksChanged(
      [
        [0, 3, 7],
        [2, 6, 11],
        [4, 5, 13],
      ],
      unclickedCase,
      'without',
    ),
  },
  {
    name: '2 to 4 clicks',
    make: clicksChanged(
      [
        [2, 3],
        [5, 6, 7, 8],
        [0, 1],
        [11, 12, 13],
      ],
      fewClicksCase,
      'only',
    ),
  },
  {
    name: 'a quadrant',
    make: async (labelled) => {
      const coarse = await decimatedCase(labelled, COMMON_TRIANGLES);
      return [await quadrantCase(coarse, 'right'), await quadrantCase(coarse, 'left')];
    },
  },
  { name: 'trimmed base', make: edited(trimmedBaseCase) },
  { name: 'mirrored', make: edited(mirroredCase) },
  { name: 'noise of 40 um', make: edited((labelled) => noisyCase(labelled, 0.04, 5)) },
  { name: 'holes', make: edited((labelled) => holedCase(labelled, 60, 6)) },
];
