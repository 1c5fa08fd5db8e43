import { beforeAll, describe, expect, it } from 'vitest';
import { FRONT } from '../../fixtures/specs.ts';
import { evaluateSizes, type JudgedSize } from './evaluate-sizes.ts';
import type { LabelledCase } from './labelled-case.ts';
import { madeCase } from './made-case.ts';

describe('evaluateSizes', () => {
  let labelled: LabelledCase;
  let judged: JudgedSize[];
  beforeAll(async () => {
    labelled = await madeCase({ ...FRONT, gridMm: 0.26, gaps: { '12-11': 0.45, '11-21': 0.5 } });
    judged = await evaluateSizes(labelled);
  }, 60_000);

  it('puts every crown beside its own true size, and knows where all spaces round it were measured', () => {
    expect(judged.map(({ place, record, truth, open }) => [place, record.tooth, truth.tooth, open])).toEqual([
      ['made/front-upper', 12, 12, true],
      ['made/front-upper', 11, 11, true],
      // 21-22 touches: no space of it is measured.
      ['made/front-upper', 21, 21, false],
      ['made/front-upper', 22, 22, false],
    ]);
    // Issue 4: widths within 0.05 mm beside open contacts, 0.10 beside closed ones.
    for (const { record, truth, open } of judged) {
      expect(Math.abs(record.mesiodistalMm! - truth.mesiodistalMm)).toBeLessThan(open ? 0.05 : 0.1);
    }
  });

  it('judges nothing where no true sizes, or no clicks, are known', async () => {
    expect(await evaluateSizes({ ...labelled, sizes: null })).toEqual([]);
    expect(await evaluateSizes({ ...labelled, clickSets: new Map() })).toEqual([]);
  });
});
