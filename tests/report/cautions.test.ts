import { describe, expect, it } from 'vitest';
import {
  CAUTIONS,
  COMPARING_CAUTIONS,
  COMPARISON_CAUTIONS,
  MEASURING_CAUTIONS,
  PLAN_CAUTIONS,
} from '../../src/report/cautions.ts';

describe('CAUTIONS', () => {
  it.each([
    /bridged contact is not proof of contact/i,
    /floss or a strip in the mouth before deciding/i,
    /what the scanner saw/i,
    /simple mechanical model, not a prescription/i,
    /licensed clinician decides/i,
  ])('holds what must stand beside every result: %s', (wanted) => {
    expect(CAUTIONS.filter((caution) => wanted.test(caution))).toHaveLength(1);
  });

  it('leaves only the proposal out where there is none', () => {
    const left = CAUTIONS.filter((caution) => !MEASURING_CAUTIONS.includes(caution));
    expect(left).toEqual([expect.stringMatching(/^The proposal is arithmetic/)]);
  });

  it('is whole where measurements and plan stand each with their own', () => {
    expect(new Set([...MEASURING_CAUTIONS, ...PLAN_CAUTIONS])).toEqual(new Set(CAUTIONS));
    expect(PLAN_CAUTIONS).toContainEqual(expect.stringMatching(/floss or a strip/));
  });

  it('says of a comparison what holds of it alone, and all where it stands alone', () => {
    const ofWalls = COMPARISON_CAUTIONS.filter((caution) => !CAUTIONS.includes(caution));
    expect(ofWalls).toEqual([expect.stringMatching(/“by the earlier walls”.*no wall was ground/)]);
    expect(CAUTIONS.filter((caution) => !COMPARISON_CAUTIONS.includes(caution))).toEqual([]);
    expect(COMPARING_CAUTIONS).toEqual(expect.arrayContaining(ofWalls));
    // Beside “bridged now, check with floss” on the page.
    expect(COMPARING_CAUTIONS).toContainEqual(expect.stringMatching(/^A bridged contact is not proof/));
    expect(COMPARING_CAUTIONS.length).toBeLessThan(CAUTIONS.length);
  });
});
